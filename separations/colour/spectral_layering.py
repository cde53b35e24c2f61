"""Solids and overprints by reflectance spectra: ink films laid on each other band by band."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from separations.colour.colorimetry import FloatArray
from separations.colour.ink_spectra import InkSpectra
from separations.colour.kubelka_munk import film_transmittance, over
from separations.colour.layering import MOST_SURFACE, SURFACE_OVER_DARKEST

_LEAST_LIGHT = 1e-4


def spectral_surface(inks: Sequence[InkSpectra]) -> float:
    """Light off the top surface (0 to 1), judged from the darkest band of the darkest solid.

    As `separations.colour.layering.surface_reflection` does from three channels.
    """
    darkest = min(float((ink.over_white / ink.white).min()) for ink in inks)
    return float(np.clip(SURFACE_OVER_DARKEST * darkest, 0.0, MOST_SURFACE))


def film_of(ink: InkSpectra, surface: float) -> tuple[FloatArray, FloatArray]:
    """An ink's film in each band: reflectance over perfect black, and light let through one way.

    Parameters
    ----------
    ink : InkSpectra
        Its solid on both halves of a card.
    surface : float
        Light off the top surface (0 to 1), which is taken away first.

    Notes
    -----
    Kubelka 1948, R = R0 + T^2 Rg / (1 - R0 Rg), on both halves: T falls out, and what is left is
    linear in R0.
    """
    white, light, black, dark = (_beneath(spectrum, surface) for spectrum in
                                 (ink.white, ink.over_white, ink.black, ink.over_black))
    black = np.where(ink.black > 0.0, black, 0.0)
    bare = (black * light - white * dark) / (black - white + black * white * (light - dark))
    bare = np.clip(bare, 0.0, 0.999 * light)
    return bare, film_transmittance(bare, light, white)


def layered_spectra(wood: FloatArray, inks: Sequence[InkSpectra], surface: float) -> FloatArray:
    """Reflectance of all 2^k overprints of k inks, laid in the order given; shape (2^k, 43).

    Parameters
    ----------
    wood : ndarray, shape (43,), float64
        The bare wood.
    inks : sequence of InkSpectra
        First printed first.
    surface : float
        Light off the top surface (0 to 1).

    Notes
    -----
    Bit i of the index: ink i is there. Each film lies at the thickness at which it was read, on
    wood and on ink alike: own rule, since the inks cure between hits and the constants for ink on
    ink were fitted to three broad channels of wet offset prints. No spectra of overprints on wood
    were at hand.
    """
    films = [film_of(ink, surface) for ink in inks]
    primaries = np.empty((1 << len(inks), len(wood)))
    primaries[0] = wood
    for index in range(1, len(primaries)):
        top = index.bit_length() - 1
        beneath = _beneath(primaries[index & ~(1 << top)], surface)
        primaries[index] = surface + (1.0 - surface) * over(*films[top], beneath)
    return np.maximum(primaries, _LEAST_LIGHT)


def _beneath(spectrum: FloatArray, surface: float) -> FloatArray:
    """Reflectance under the surface."""
    return np.asarray(np.maximum((spectrum - surface) / (1.0 - surface), _LEAST_LIGHT))
