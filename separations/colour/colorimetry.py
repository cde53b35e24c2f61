"""Colour coordinates: XYZ, Lab, linear wide-gamut RGB and sRGB for display.

XYZ is for illuminant D50 and the 2 degree observer throughout, with Y = 1 for the perfect
diffuser. Every function takes arrays of any leading shape whose last axis holds the three
coordinates.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

#: XYZ of D50 for the 2 degree observer, Y = 1.
#: Source: ICC.1:2010, 7.2.16 (0.9642, 1.0, 0.8249).
D50_XYZ: FloatArray = np.array([0.9642, 1.0, 0.8249])

#: Linear wide-gamut RGB to XYZ D50 (reference output medium metric primaries). No print that
#: is real light comes out negative in it, which per-channel curves need.
#: Source: ISO 22028-2 (ROMM RGB), matrix rounded to seven places.
WIDE_RGB_TO_XYZ: FloatArray = np.array([
    [0.7976749, 0.1351917, 0.0313534],
    [0.2880402, 0.7118741, 0.0000857],
    [0.0000000, 0.0000000, 0.8252100]])
XYZ_TO_WIDE_RGB: FloatArray = np.asarray(np.linalg.inv(WIDE_RGB_TO_XYZ), np.float64)

#: XYZ under D50 to linear sRGB (D65), Bradford adaptation folded in.
#: Source: IEC 61966-2-1 primaries, Bradford matrix of ICC.1:2010 Annex E; computed below.
_BRADFORD: FloatArray = np.array([
    [0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
_SRGB_TO_XYZ_D65: FloatArray = np.array([
    [0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])

_LAB_KNEE = 216.0 / 24389.0
_LAB_SLOPE = 24389.0 / 27.0


def _d50_to_linear_srgb() -> FloatArray:
    d65 = _SRGB_TO_XYZ_D65 @ np.ones(3)
    gain = (_BRADFORD @ d65) / (_BRADFORD @ D50_XYZ)
    to_d65 = np.linalg.inv(_BRADFORD) @ np.diag(gain) @ _BRADFORD
    return np.asarray(np.linalg.inv(_SRGB_TO_XYZ_D65) @ to_d65)


_XYZ_TO_SRGB: FloatArray = _d50_to_linear_srgb()
_SRGB_TO_XYZ: FloatArray = np.asarray(np.linalg.inv(_XYZ_TO_SRGB), np.float64)


def xyz_to_lab(xyz: ArrayLike) -> FloatArray:
    """CIELAB of XYZ.

    Parameters
    ----------
    xyz : array_like, shape (..., 3), float
        XYZ D50, Y = 1 for the perfect diffuser.

    Returns
    -------
    ndarray, shape (..., 3), float64
        L* (0 to 100), a*, b*.

    Notes
    -----
    Source: CIE 15:2004, 8.2.1, with the exact rational knee 216/24389.
    """
    ratio = np.asarray(xyz, np.float64) / D50_XYZ
    bent = np.where(ratio > _LAB_KNEE, np.cbrt(ratio), (_LAB_SLOPE * ratio + 16.0) / 116.0)
    x, y, z = bent[..., 0], bent[..., 1], bent[..., 2]
    return np.stack([116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)], axis=-1)


def lab_to_xyz(lab: ArrayLike) -> FloatArray:
    """XYZ D50 (Y = 1 for the perfect diffuser) of CIELAB; arrays of shape (..., 3).

    Notes
    -----
    Source: CIE 15:2004, Annex D.
    """
    colour = np.asarray(lab, np.float64)
    y = (colour[..., 0] + 16.0) / 116.0
    bent = np.stack([y + colour[..., 1] / 500.0, y, y - colour[..., 2] / 200.0], axis=-1)
    ratio = np.where(bent > _LAB_KNEE ** (1.0 / 3.0), bent**3, (116.0 * bent - 16.0) / _LAB_SLOPE)
    return np.asarray(ratio * D50_XYZ)


def xyz_to_wide_rgb(xyz: ArrayLike) -> FloatArray:
    """Linear wide-gamut RGB of XYZ D50; arrays of shape (..., 3), white near (1, 1, 1)."""
    return np.asarray(np.asarray(xyz, np.float64) @ XYZ_TO_WIDE_RGB.T)


def wide_rgb_to_xyz(rgb: ArrayLike) -> FloatArray:
    """XYZ D50 of linear wide-gamut RGB; arrays of shape (..., 3)."""
    return np.asarray(np.asarray(rgb, np.float64) @ WIDE_RGB_TO_XYZ.T)


def xyz_to_srgb(xyz: ArrayLike) -> FloatArray:
    """Coded sRGB (0 to 1, clipped) that shows XYZ D50 on a D65 display; shape (..., 3).

    Notes
    -----
    Source: IEC 61966-2-1 transfer curve; Bradford adaptation D50 to D65 (ICC.1:2010, Annex E).
    """
    linear = np.clip(np.asarray(xyz, np.float64) @ _XYZ_TO_SRGB.T, 0.0, 1.0)
    return np.where(linear <= 0.0031308, 12.92 * linear,
                    1.055 * np.maximum(linear, 0.0031308) ** (1.0 / 2.4) - 0.055)


def srgb_to_xyz(srgb: ArrayLike) -> FloatArray:
    """XYZ D50 of coded sRGB (0 to 1); arrays of shape (..., 3). The inverse of `xyz_to_srgb`."""
    coded = np.asarray(srgb, np.float64)
    linear = np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)
    return np.asarray(linear @ _SRGB_TO_XYZ.T)


def lab_to_srgb(lab: ArrayLike) -> FloatArray:
    """Coded sRGB (0 to 1, clipped) that shows a CIELAB D50 colour; arrays of shape (..., 3)."""
    return xyz_to_srgb(lab_to_xyz(lab))


def colour_difference(lab_a: ArrayLike, lab_b: ArrayLike) -> FloatArray:
    """CIEDE2000 between two arrays of CIELAB colours, with k_L = k_C = k_H = 1.

    Parameters
    ----------
    lab_a, lab_b : array_like, shape (..., 3), float
        Colours; the shapes broadcast.

    Returns
    -------
    ndarray, shape (...), float64
        dE00.

    Notes
    -----
    Source: CIE 142-2001; Sharma, Wu and Dalal 2005. scikit-image does the sums.
    """
    from skimage.color import deltaE_ciede2000

    first, second = np.broadcast_arrays(np.asarray(lab_a, np.float64),
                                        np.asarray(lab_b, np.float64))
    difference: Any = deltaE_ciede2000(first, second)
    return np.asarray(difference, np.float64)
