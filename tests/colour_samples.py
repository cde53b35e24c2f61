"""A bamboo face, the process inks and sRGB as CIELAB: what several tests of colour begin with."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from separations.colour.colorimetry import srgb_to_xyz, xyz_to_lab
from separations.colour.ink_figures import Lab, ink_figures

#: A typical light bamboo face. Invented; see ink_figures.toml.
BAMBOO_LAB: Lab = ink_figures().substrates["bamboo"].lab
PROCESS_INK_NAMES = ("cyan", "magenta", "yellow", "black")


def srgb_to_lab(srgb: ArrayLike) -> NDArray[np.float64]:
    """CIELAB D50 of coded sRGB (0 to 1); arrays of shape (..., 3)."""
    return xyz_to_lab(srgb_to_xyz(srgb))
