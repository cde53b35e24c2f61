"""Tone value and area: what a densitometer tells of a tint, and what its dots cover.

They differ where light is caught between the dots (n above 1): a tint is then darker than its
dots alone would make it, and a densitometer reads more than they cover.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

#: Film tones at which the increase is told. Common practice: quarter, middle, three-quarter tone.
TOLD_TONES = (0.25, 0.5, 0.75)
#: A solid that changes less than this of what lies beneath tells no tone value.
_LEAST_CHANGE = 0.02
_LEAST_SOLID = 1e-4


def solid_share(wood_xyz: FloatArray, solid_xyz: FloatArray) -> float:
    """How much of the wood's light a solid leaves, in X, Y or Z, whichever it takes most of.

    Parameters
    ----------
    wood_xyz, solid_xyz : ndarray, shape (3,), float64
        XYZ D50.

    Returns
    -------
    float
        Solid over wood, above 0; near 1 for an ink that hardly shows.
    """
    share = np.asarray(solid_xyz, np.float64) / np.asarray(wood_xyz, np.float64)
    return float(np.clip(share.min(), _LEAST_SOLID, 1.0))


def tone_value_of_light(light: ArrayLike, solid: ArrayLike) -> FloatArray:
    """Murray-Davies tone value (0 to 1 but for noise) of a tint by its light.

    Parameters
    ----------
    light : array_like, any shape, float
        The tint's reflectance over that of the bare substrate.
    solid : array_like, float
        The solid's likewise, not 1 (above it of a white ink); its shape goes with ``light``.

    Notes
    -----
    Source: Murray 1936; tone value as ISO 12647-1 defines it, densities above the substrate.
    """
    return np.asarray((1.0 - np.asarray(light)) / (1.0 - np.asarray(solid)), np.float64)


def tone_value_of_area(area: ArrayLike, solid: float, n: float) -> FloatArray:
    """Murray-Davies tone value (0 to 1) of the area under ink (0 to 1).

    Parameters
    ----------
    area : array_like, any shape, float
        What the dots cover, 0 to 1.
    solid : float
        The solid's reflectance over that of the bare wood.
    n : float
        Yule-Nielsen factor, at least 1; at 1 the two are the same.

    Notes
    -----
    Source: Murray 1936 and Yule and Nielsen 1951; tone value as ISO 12647-1 defines it.
    """
    covered = np.asarray(area, np.float64)
    if abs(1.0 - solid) < _LEAST_CHANGE:
        return covered
    return tone_value_of_light((1.0 - covered * (1.0 - solid ** (1.0 / n))) ** n, solid)


def area_of_tone_value(tone_value: ArrayLike, solid: float, n: float) -> FloatArray:
    """Area under ink (0 to 1) of a Murray-Davies tone value; undoes `tone_value_of_area`."""
    told = np.asarray(tone_value, np.float64)
    if abs(1.0 - solid) < _LEAST_CHANGE:
        return told
    light = 1.0 - told * (1.0 - solid)
    return np.asarray((1.0 - light ** (1.0 / n)) / (1.0 - solid ** (1.0 / n)))
