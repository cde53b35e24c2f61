"""A space in which hue stays hue when chroma changes: CIE lightness, with P and T of IPT."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from separations.colour.adaptation import adaptation_matrix
from separations.colour.colorimetry import D50_XYZ, lab_to_xyz, xyz_to_lab

FloatArray = NDArray[np.float64]

#: XYZ (D65) to cones, cones to the power of `_POWER` to I, P, T.
#: Source: Ebner and Fairchild 1998.
_XYZ_TO_CONES: FloatArray = np.array([
    [0.4002, 0.7075, -0.0807], [-0.2280, 1.1500, 0.0612], [0.0, 0.0, 0.9184]])
_CONES_TO_IPT: FloatArray = np.array([
    [0.4000, 0.4000, 0.2000], [4.4550, -4.8510, 0.3960], [0.8056, 0.3572, -1.1628]])
_POWER = 0.43
#: P and T times this are about as long as a* and b*. Source: the authors' scaling by 150.
_SCALE = 150.0
_D65_XYZ: FloatArray = np.array([0.95047, 1.0, 1.08883])

_TO_CONES: FloatArray = np.asarray(
    _XYZ_TO_CONES @ adaptation_matrix(D50_XYZ, _D65_XYZ, 1.0), np.float64)
_FROM_CONES: FloatArray = np.asarray(np.linalg.inv(_TO_CONES), np.float64)
_FROM_IPT: FloatArray = np.asarray(np.linalg.inv(_CONES_TO_IPT), np.float64)
_STEPS = 6


def xyz_to_lpt(xyz: ArrayLike) -> FloatArray:
    """CIE L*, and P and T, of XYZ under D50 (Y = 1 for white); arrays of shape (..., 3)."""
    colour = np.asarray(xyz, np.float64)
    bent = _bent(colour @ _TO_CONES.T) @ _CONES_TO_IPT[1:].T * _SCALE
    grey = colour[..., 1:2] * D50_XYZ
    return np.concatenate([xyz_to_lab(grey)[..., :1], bent], axis=-1)


def lpt_to_xyz(lpt: ArrayLike) -> FloatArray:
    """XYZ under D50 of L*, P and T; arrays of shape (..., 3). The inverse of `xyz_to_lpt`.

    Notes
    -----
    Luminance rises with I at any P and T; Newton's steps find the I that has it.
    """
    colour = np.asarray(lpt, np.float64)
    grey = np.zeros_like(colour)
    grey[..., 0] = colour[..., 0]
    wanted = lab_to_xyz(grey)[..., 1]
    aside = colour[..., 1:] / _SCALE @ _FROM_IPT[:, 1:].T
    whole = np.sign(wanted) * np.abs(wanted) ** _POWER
    for _ in range(_STEPS):
        cones = whole[..., None] * _FROM_IPT[:, 0] + aside
        size = np.abs(cones) ** (1.0 / _POWER - 1.0)
        luminance = (size * cones) @ _FROM_CONES[1]
        slope = (size / _POWER * _FROM_IPT[:, 0]) @ _FROM_CONES[1]
        whole = whole + np.clip((wanted - luminance) / np.maximum(slope, 1e-4), -0.1, 0.1)
    cones = whole[..., None] * _FROM_IPT[:, 0] + aside
    return np.asarray((np.abs(cones) ** (1.0 / _POWER - 1.0) * cones) @ _FROM_CONES.T)


def _bent(cones: FloatArray) -> FloatArray:
    return np.sign(cones) * np.abs(cones) ** _POWER
