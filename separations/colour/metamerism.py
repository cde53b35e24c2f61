"""How far two colours that agree under one light part under another."""

from __future__ import annotations

import numpy as np

from separations.colour.colorimetry import FloatArray, colour_difference
from separations.colour.lights import Light

_MOST_STEPS = 60
_CLOSE = 1e-10
#: Reflectances are sought between these: beyond, tanh says the same for all.
_MOST_BENT = 6.0


def metamerism_index(one: FloatArray, other: FloatArray, light: Light) -> FloatArray:
    """ΔE00 under a light of spectra (..., 43) that agree under another; shape (...).

    Notes
    -----
    Source: the special metamerism index, change in illuminant, of CIE 15:2004: the difference of
    both colours under the test light, each relative to that light's own white. By CIEDE2000 here.
    """
    return colour_difference(light.lab(one), light.lab(other))


def smoothest_spectrum(spectrum: FloatArray, light: Light) -> FloatArray | None:
    """The smoothest reflectance that agrees with a spectrum under a light; shapes (43,).

    What a plain, broad colour of the world beside the print may have: so a print's own metamerism
    can be told by one figure. None where no such reflectance is found.

    Notes
    -----
    Source: Burns 2020, "Numerical methods for smoothest reflectance reconstruction", Color
    Research and Application 45, 8 to 21: the least squared slope of z with R = (1 + tanh z) / 2,
    by Newton's method with a factor for each of X, Y and Z.
    """
    bands = len(spectrum)
    aim = light.xyz(spectrum)
    slope = np.diff(np.eye(bands), axis=0)
    flat = 2.0 * slope.T @ slope
    z, factors = np.full(bands, np.arctanh(2.0 * float(aim[1]) - 1.0)), np.zeros(3)
    for _ in range(_MOST_STEPS):
        bent = np.tanh(z)
        rise = 0.5 * (1.0 - bent**2)
        turn = -2.0 * bent * rise
        pull = light.weights @ factors
        off = np.concatenate((flat @ z + rise * pull,
                              light.weights.T @ (0.5 * (1.0 + bent)) - aim))
        if np.abs(off).max() < _CLOSE:
            return np.asarray(0.5 * (1.0 + bent))
        moves = np.zeros((bands + 3, bands + 3))
        moves[:bands, :bands] = flat + np.diag(turn * pull)
        moves[:bands, bands:] = rise[:, None] * light.weights
        moves[bands:, :bands] = moves[:bands, bands:].T
        try:
            step = np.linalg.solve(moves, -off)
        except np.linalg.LinAlgError:
            return None
        if not np.isfinite(step).all():
            return None
        z = np.clip(z + step[:bands], -_MOST_BENT, _MOST_BENT)
        factors = factors + step[bands:]
    return None
