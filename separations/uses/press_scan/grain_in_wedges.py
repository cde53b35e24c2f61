"""Grain under a wedge's patches, told by the light in which its ink hardly shows.

Wood differs from place to place, so that a patch and the wood beside it are not of one kind. Where
an ink hardly takes any red light, say, red light tells by how much, and so the light in which the
ink shows best can be righted.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from separations.colour.tone_values import tone_value_of_light

FloatArray = NDArray[np.float64]

#: Grain is told by a colour that the solid takes at most this share of, of what it takes of the
#: colour in which it shows best. Own rule.
_HARDLY = 0.3
#: Terms of the smooth curve by which both colours' differences from it are compared.
_TERMS = 5
_LEAST_READ = 12


def without_grain(light: FloatArray, tones: FloatArray, solid: FloatArray, best: int
                  ) -> FloatArray:
    """Light of a wedge's patches in one colour, less what another colour tells of their grain.

    Parameters
    ----------
    light : ndarray, shape (N, 3), float64
        Light of the patches over the wood's beside them; NaN where not read.
    tones : ndarray, shape (N,), float64
        Their film tones, 0 to 1.
    solid : ndarray, shape (3,), float64
        Light of the solid likewise.
    best : int
        In which colour the ink shows best.

    Returns
    -------
    ndarray, shape (N,), float64
        Light in that colour; as it was where no other colour tells of grain.

    Notes
    -----
    The other colour should fall with the tone value in its own measure, a little bent; what is
    left over is grain. By how much more grain shows in the one than in the other is found by
    regression of what both leave over (analysis of covariance, Fisher 1932).
    """
    taken = np.abs(1.0 - solid)
    other = int(np.nanargmin(np.where(np.arange(3) == best, np.nan, taken)))
    read = ~np.isnan(light[:, [best, other]]).any(axis=1)
    if not taken[other] <= _HARDLY * taken[best] or read.sum() < _LEAST_READ:
        return light[:, best].copy()
    seen, free, at = light[read, best], light[read, other], tones[read]
    value = tone_value_of_light(_means(seen, at), solid[best])
    terms = np.column_stack([value, value * (1.0 - value)])
    found, *_ = np.linalg.lstsq(terms, 1.0 - free, rcond=None)
    grain = np.log(np.maximum(free, 1e-4) / np.maximum(1.0 - terms @ found, 1e-4))
    smooth = np.vander(at, _TERMS)
    left, of_grain = (one - smooth @ np.linalg.lstsq(smooth, one, rcond=None)[0]
                      for one in (np.log(np.maximum(seen, 1e-4)), grain))
    # dark patches tell little of it: their light is noise
    share = float((seen * left * of_grain).sum() / max((seen * of_grain**2).sum(), 1e-12))
    righted = light[:, best].copy()
    righted[read] = seen * np.exp(-max(share, 0.0) * grain)
    return righted


def _means(light: FloatArray, tones: FloatArray) -> FloatArray:
    """For each patch the mean light of all patches of its tone."""
    return np.array([light[tones == tone].mean() for tone in tones])
