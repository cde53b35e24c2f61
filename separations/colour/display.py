"""The way from XYZ to 8-bit sRGB for whole pictures."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from separations.colour.colorimetry import D50_XYZ, lab_to_xyz, srgb_to_xyz, xyz_to_srgb
from separations.colour.print_model import PrintModel

#: Steps of the table from linear light to 8 bits; fine enough for the first steps off black.
_STEPS = 1 << 14


class Coding(NamedTuple):
    """The way from XYZ to 8 bits: within one step of `xyz_to_srgb`, at a fraction of its time.

    Attributes
    ----------
    to_linear : ndarray of float32, shape (3, 3)
        XYZ D50 (Y = 1 for the perfect diffuser) to linear sRGB.
    codes : ndarray of uint8, shape (steps + 1,)
        Coded levels of linear light from 0 to 1, evenly spaced.
    """

    to_linear: NDArray[np.float32]
    codes: NDArray[np.uint8]


@cache
def srgb_coding() -> Coding:
    """The table and the matrix, made once."""
    greys = np.linspace(0.0, 1.0, _STEPS + 1)[:, None] * D50_XYZ
    return Coding(
        to_linear=np.linalg.inv(srgb_to_xyz(np.eye(3)).T).astype(np.float32),
        codes=np.rint(xyz_to_srgb(greys)[:, 1] * 255).astype(np.uint8))


def shown_srgb(lab: NDArray[np.float64]) -> tuple[int, int, int]:
    """The sRGB colour (0 to 255) that shows a CIELAB colour, shape (3,)."""
    red, green, blue = eight_bit_srgb(lab_to_xyz(lab))
    return int(red), int(green), int(blue)


def solid_srgb(model: PrintModel, ink: int) -> tuple[int, int, int]:
    """The sRGB colour (0 to 255) of one ink's solid on the wood."""
    return shown_srgb(model.primaries_lab[1 << ink])


def eight_bit_srgb(xyz: NDArray[np.floating]) -> NDArray[np.uint8]:
    """CIE XYZ (Y of white 1), any shape (..., 3), as sRGB of 8 bits."""
    return np.asarray(np.rint(np.clip(xyz_to_srgb(xyz), 0, 1) * 255), np.uint8)
