"""How bright the light is over a picture, by the bare wood beside the sheet's patches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from separations.uses.press_scan.patch_light import PatchLight

FloatArray = NDArray[np.float64]

#: Places further from the sheet than this (its own half size) are taken to be lit like there.
_MOST_BEYOND = 1.5
#: How strongly all but the mean is kept small, in patches: grain alone makes no slope.
_EVEN = 2.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LightField:
    """Light of bare wood over the picture.

    Attributes
    ----------
    middle_px, half_px : ndarray, shape (2,), float64
        Middle of the sheet's patches, and how far they reach from it.
    terms : ndarray, shape (6, 3), float64
        Logarithm of red, green and blue light by powers of the place.
    """

    middle_px: FloatArray
    half_px: FloatArray
    terms: FloatArray

    @property
    def mean(self) -> FloatArray:
        """Light (3,) in the middle of the sheet."""
        return np.asarray(np.exp(self.terms[0]))

    def over_mean(self, at_px: FloatArray) -> FloatArray:
        """Light at places (N, 2) over that in the middle, shape (N, 3)."""
        return np.asarray(np.exp((_powers((at_px - self.middle_px) / self.half_px)
                                  - _powers(np.zeros((1, 2)))) @ self.terms))


def light_field(lights: Sequence[PatchLight]) -> LightField:
    """Fit the field to the wood beside all patches that were read; three or more."""
    seen = [light for light in lights if light.corners_px is not None
            and not np.isnan(light.wood).any()]
    at = np.array([light.corners_px.mean(axis=0) for light in seen
                   if light.corners_px is not None])
    wood = np.log(np.maximum([light.wood for light in seen], 1e-5))
    middle = (at.max(axis=0) + at.min(axis=0)) / 2
    half = np.maximum((at.max(axis=0) - at.min(axis=0)) / 2, 1.0)
    powers = _powers((at - middle) / half)
    keep = _EVEN * np.diag([0.0, 1.0, 1.0, 2.0, 2.0, 2.0])
    terms = np.linalg.solve(powers.T @ powers + keep, powers.T @ wood)
    return LightField(middle_px=middle, half_px=half, terms=np.asarray(terms, np.float64))


def _powers(place: FloatArray) -> FloatArray:
    u, v = np.clip(place, -_MOST_BEYOND, _MOST_BEYOND).T
    return np.stack([np.ones_like(u), u, v, u * u, u * v, v * v], axis=1)
