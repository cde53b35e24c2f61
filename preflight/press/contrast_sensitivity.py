"""How faint a ripple the eye still sees: contrast against its spacing at reading distance."""

from __future__ import annotations

import math
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Number = TypeVar("Number", float, NDArray[np.float64])

#: A board held and looked at: arm's length. Common practice, no source.
READING_DISTANCE_MM = 400.0
#: White under 500 lx: illuminance over π (cd/m²). ISO 3664 asks for 500 lx in its practical
#: appraisal condition P2: from memory, unverified.
WHITE_CD_PER_M2 = 500.0 / math.pi
#: Angle (°) that an even tint fills: 70 mm at reading distance. Own assumption, no source.
TINT_DEG = 10.0
#: Luminance (cd/m²) that a middle tint on wood has under that light: 40 % of white.
TINT_CD_PER_M2 = 0.4 * WHITE_CD_PER_M2


def contrast_sensitivity(cycles_per_deg: Number, *, luminance_cd_per_m2: float = TINT_CD_PER_M2,
                         field_deg: float = TINT_DEG) -> Number:
    """Sensitivity of the eye to sine waves: 1 over the modulation seen half of the time.

    Parameters
    ----------
    cycles_per_deg : float or ndarray of float64, any shape
        Spatial frequency, above 0.
    luminance_cd_per_m2 : float
        Mean luminance.
    field_deg : float
        Width of the patterned field (degrees).

    Returns
    -------
    float or ndarray of float64, the same shape
        1 / modulation, modulation being (greatest − least) / (greatest + least).

    Notes
    -----
    Source: P. G. J. Barten, "Formula for the contrast sensitivity of the human eye", Proc. SPIE
    5294 (2003), 231; constants as published code gives them (gfxdisp/motion_quality_20), held in
    the tests against an independent implementation of the same author's full model of 1999.
    """
    square = cycles_per_deg * cycles_per_deg
    optics = np.exp(-0.0016 * square * (1 + 100 / luminance_cd_per_m2) ** 0.08)
    noise = 63 / luminance_cd_per_m2**0.83 + 1 / (1 - np.exp(-0.02 * square))
    width = 1 + 144 / field_deg**2 + 0.64 * square
    return 5200 * optics / np.sqrt(width * noise)  # type: ignore[no-any-return]


def per_degree(per_mm: Number, distance_mm: float = READING_DISTANCE_MM) -> Number:
    """Cycles per degree of a pattern of ``per_mm`` cycles a mm, seen from ``distance_mm``."""
    return per_mm * (distance_mm * math.pi / 180.0)


def sensitivity_to(per_mm: NDArray[np.float64] | float) -> NDArray[np.float64]:
    """`contrast_sensitivity` of a pattern on the board (cycles per mm) at reading distance.

    Patterns longer than the board count as such a one: nothing is told of an endless wave.
    """
    least = 1e-4
    return contrast_sensitivity(per_degree(np.maximum(np.asarray(per_mm, np.float64), least)))
