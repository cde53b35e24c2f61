"""Corresponding colours: what must be seen under one white to look as under another.

An eye takes the lightest thing before it for white, but in part only while it also sees other
things. How far it does is the degree of adaptation, from 0 (not at all) to 1 (wholly).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from separations.colour.colorimetry import D50_XYZ, lab_to_xyz, xyz_to_lab

FloatArray = NDArray[np.float64]

#: XYZ to the sharpened cone responses of CIECAM16. Source: CIE 248:2022; Li et al. 2017.
XYZ_TO_CONES: FloatArray = np.array([
    [0.401288, 0.650173, -0.051461],
    [-0.250268, 1.204414, 0.045854],
    [-0.002079, 0.048952, 0.953127]])
_TO_XYZ: FloatArray = np.asarray(np.linalg.inv(XYZ_TO_CONES), np.float64)


def adaptation_matrix(white_xyz: ArrayLike, other_white_xyz: ArrayLike,
                      degree: float) -> FloatArray:
    """XYZ under one white to XYZ that look alike under another.

    Parameters
    ----------
    white_xyz, other_white_xyz : array_like, shape (3,), float
        The two whites; only their chromaticities count.
    degree : float
        How far the eye adapts to the other white, 0 to 1.

    Returns
    -------
    ndarray, shape (3, 3), float64
        Relative luminances stay: Y is relative to each white's own.

    Notes
    -----
    Source: the chromatic adaptation of CIECAM16 (CIE 248:2022), with the degree D given.
    """
    white, other = (np.asarray(xyz, np.float64) for xyz in (white_xyz, other_white_xyz))
    gains = (XYZ_TO_CONES @ (other / other[1])) / (XYZ_TO_CONES @ (white / white[1]))
    return np.asarray(_TO_XYZ @ np.diag(degree * gains + 1.0 - degree) @ XYZ_TO_CONES)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PrintViewer:
    """An eye before a print: from colours as it sees them to colours as they are, and back.

    Attributes
    ----------
    to_print : ndarray, shape (3, 3), float64
        Seen XYZ (of an eye at rest under D50) to the print's own XYZ.
    floor : float
        Luminance of the print's darkest colour over that of its lightest, which is seen as
        black.

    Notes
    -----
    Source: corresponding colours by CIECAM16; luminance relative to the print's white, and the
    darkest colour led to black in proportion to light, as ISO 18619 sets it out.
    """

    to_print: FloatArray
    floor: float

    def print_lab(self, seen_xyz: FloatArray) -> FloatArray:
        """Lab D50 of the print that is seen as those XYZ; arrays of shape (..., 3)."""
        lit = self.floor * D50_XYZ + (1.0 - self.floor) * seen_xyz
        return xyz_to_lab(np.maximum(lit @ self.to_print.T, 0.0))

    def seen_xyz(self, print_lab: ArrayLike) -> FloatArray:
        """XYZ as seen of the print's Lab D50; arrays of shape (..., 3)."""
        lit = lab_to_xyz(print_lab) @ np.linalg.inv(self.to_print).T
        return np.asarray((lit - self.floor * D50_XYZ) / (1.0 - self.floor))


def print_viewer(white_lab: ArrayLike, black_lab: ArrayLike, adaptation: float) -> PrintViewer:
    """The eye before a print.

    Parameters
    ----------
    white_lab, black_lab : array_like, shape (3,), float
        Lab D50 of the lightest and of the darkest printable colour.
    adaptation : float
        How far the eye takes the lightest colour for white, 0 to 1.
    """
    white, black = lab_to_xyz(white_lab), lab_to_xyz(black_lab)
    return PrintViewer(to_print=white[1] * adaptation_matrix(D50_XYZ, white, adaptation),
                       floor=float(min(black[1] / white[1], 0.999)))
