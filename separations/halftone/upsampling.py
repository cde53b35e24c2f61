"""Where film pixels fall among plane pixels, and with which weights they take from them.

Rows and columns are treated alike and apart, each film row or column by its own position, so
what a pixel becomes never depends on the band or region it is asked for in.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from preflight.frames.raster_grid import RasterGrid
from separations.runtime.compiled_code import inner_kernel


@inner_kernel
def tone_at(plane: NDArray[np.uint16], row: float, column: float) -> float:
    """The plane between its pixels' centres, bilinear, its edge repeated outwards."""
    row = min(max(row - 0.5, 0.0), plane.shape[0] - 1.0)
    column = min(max(column - 0.5, 0.0), plane.shape[1] - 1.0)
    r, c = int(row), int(column)
    down, right = min(r + 1, plane.shape[0] - 1), min(c + 1, plane.shape[1] - 1)
    part_row, part_column = row - r, column - c
    upper = plane[r, c] * (1.0 - part_column) + plane[r, right] * part_column
    lower = plane[down, c] * (1.0 - part_column) + plane[down, right] * part_column
    return float(upper * (1.0 - part_row) + lower * part_row)


#: Weights are whole 1/16384ths and sum to exactly one.
WEIGHT_ONE = 16384
Interpolation = Literal["cubic", "linear"]
#: A film reaches past its plane by no more than the dots that stay whole at the edge of the art,
#: with the coarsest halftones that there are (mm).
MOST_BEYOND_MM = 4.0


@dataclass(frozen=True, slots=True, eq=False)
class Taps:
    """Four neighbouring plane pixels for each film pixel of one axis.

    Attributes
    ----------
    base : NDArray of int32, shape (n,)
        The plane pixel at or before the film pixel's centre; taps are base − 1 to base + 2,
        with the plane's edge pixels repeated outwards.
    weights : NDArray of int16, shape (4, n)
        Weights of the taps in 1/16384.
    """

    base: NDArray[np.int32]
    weights: NDArray[np.int16]


def row_taps(film: RasterGrid, plane: RasterGrid, how: Interpolation = "cubic",
             scale: float = 1.0) -> Taps:
    """Taps of the film's rows among the plane's; ``scale`` is film mm for one mm of plane."""
    positions = (plane.top_x_mm - film.row_centres_x_mm() / scale) / plane.pixel_mm - 0.5
    return _taps(positions, plane.rows, how, _most_beyond(plane))


def column_taps(film: RasterGrid, plane: RasterGrid, how: Interpolation = "cubic",
                scale: float = 1.0) -> Taps:
    """Taps of the film's columns among the plane's; ``scale`` as for rows."""
    positions = (plane.left_y_mm - film.column_centres_y_mm() / scale) / plane.pixel_mm - 0.5
    return _taps(positions, plane.columns, how, _most_beyond(plane))


def _most_beyond(plane: RasterGrid) -> float:
    """How many plane pixels the film may reach past the plane."""
    return 1.0 + MOST_BEYOND_MM / plane.pixel_mm


def _taps(positions: NDArray[np.float64], count: int, how: Interpolation, beyond: float) -> Taps:
    """Taps at positions counted from pixel centre 0; beyond the plane, its edge pixels.

    Raises
    ------
    ValueError
        When a film pixel lies more than ``beyond`` plane pixels outside the plane.
    """
    if positions.min() < -0.5 - beyond or positions.max() > count - 0.5 + beyond:
        raise ValueError("the film reaches beyond the plane")
    inside = np.clip(positions, 0, count - 1)
    base = np.floor(inside)
    exact = _cubic(inside - base) if how == "cubic" else _linear(inside - base)
    weights = np.rint(exact * WEIGHT_ONE).astype(np.int32)
    weights[1] += WEIGHT_ONE - weights.sum(axis=0)
    return Taps(base.astype(np.int32), weights.astype(np.int16))


def _cubic(t: NDArray[np.float64]) -> NDArray[np.float64]:
    """Weights through the two middle pixels with their neighbours' slopes (Catmull and Rom).

    The outer two are never above zero, so once overshoots are cut off, the film between plane
    pixels that are all clear is clear, and between solid ones solid.
    """
    return np.stack([t * (-0.5 + t * (1 - 0.5 * t)), 1 + t * t * (1.5 * t - 2.5),
                     t * (0.5 + t * (2 - 1.5 * t)), t * t * (0.5 * t - 0.5)])


def _linear(t: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.stack([np.zeros_like(t), 1 - t, t, np.zeros_like(t)])
