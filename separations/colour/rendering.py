"""Which printable colour a photograph's colour should become."""

from __future__ import annotations

from typing import Literal, get_args

import numpy as np
from numpy.typing import NDArray

from preflight.input_problem import InputProblem
from separations.colour.colorimetry import (
    lab_to_xyz,
    wide_rgb_to_xyz,
    xyz_to_lab,
    xyz_to_wide_rgb,
)

FloatArray = NDArray[np.float64]

Rendering = Literal["paper-relative", "absolute", "keep-saturation"]
RENDERING_NAMES: tuple[Rendering, ...] = get_args(Rendering)


def wanted_lab(photo_lab: FloatArray, white_lab: FloatArray, black_lab: FloatArray,
               rendering: Rendering) -> FloatArray:
    """Lab wanted in print for each colour of the photograph.

    Parameters
    ----------
    photo_lab : ndarray, shape (..., 3), float64
        Lab D50 of the photograph, its white at (100, 0, 0), its black at (0, 0, 0).
    white_lab, black_lab : ndarray, shape (3,), float64
        Lab D50 of the whitest and the darkest printable colour.
    rendering : Rendering
        ``paper-relative`` and ``keep-saturation`` carry white to white and black to black, in
        proportion to light, channel by channel; ``absolute`` asks for the photograph's own
        colours.

    Returns
    -------
    ndarray, shape (..., 3), float64
        Lab D50.

    Raises
    ------
    InputProblem
        When there is no such rendering.

    Notes
    -----
    Source: media-relative colorimetry and black point compensation as ISO 18619 sets them out,
    here in linear wide-gamut channels instead of XYZ.
    """
    if rendering not in RENDERING_NAMES:
        raise InputProblem(where="rendering", found=repr(rendering),
                           would_do=" or ".join(RENDERING_NAMES))
    if rendering == "absolute":
        return np.asarray(photo_lab, np.float64)
    photo = xyz_to_wide_rgb(lab_to_xyz(photo_lab))
    white, black = (xyz_to_wide_rgb(lab_to_xyz(end)) for end in (white_lab, black_lab))
    return xyz_to_lab(np.maximum(wide_rgb_to_xyz(black + photo * (white - black)), 0.0))
