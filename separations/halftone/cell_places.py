"""Which halftone cell each film pixel lies in, and where on the film each cell lies."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preflight.halftone_spec import HalftoneSpec
from preflight.raster_grid import RasterGrid
from separations.halftone.cell_lattice import Turned

#: Whole periods are counted in this many bits below the point.
PLACE_BITS = 15


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CellPlaces:
    """The cells that a film meets, with two to spare on all sides.

    Attributes
    ----------
    first_u, first_v : int
        Number of the first cell, in periods along and across the halftone's angle.
    shape : tuple of int
        Cells across, cells along.
    row_places, column_places : NDArray of int32, shapes (film rows, 2), (2, film columns)
        Their sums are the position (u, v) from the first cell, in 2⁻¹⁵ periods.
    steps : NDArray of float64, shape (3, 2)
        Film (row, column) of the first cell's dot, and what one cell along and across adds.
        Counted from the upper left corner of the film; a pixel's centre lies at its half.
    """

    first_u: int
    first_v: int
    shape: tuple[int, int]
    row_places: NDArray[np.int32]
    column_places: NDArray[np.int32]
    steps: NDArray[np.float64]


def cell_places(spec: HalftoneSpec, grid: RasterGrid) -> CellPlaces:
    """Number the cells of a film."""
    turned = Turned.of(spec, grid)
    u_rows, v_rows = turned.of_rows(grid.row_centres_x_mm())
    u_columns, v_columns = turned.of_columns(grid.column_centres_y_mm())
    first_u, end_u = _span(u_rows, u_columns)
    first_v, end_v = _span(v_rows, v_columns)
    return CellPlaces(
        first_u=first_u, first_v=first_v, shape=(end_v - first_v, end_u - first_u),
        row_places=_fixed(np.stack([u_rows - first_u, v_rows - first_v], axis=1)),
        column_places=_fixed(np.stack([u_columns, v_columns])),
        steps=_steps(turned, first_u, first_v, spec.cell_pixels, grid))


def _span(rows: NDArray[np.float64], columns: NDArray[np.float64]) -> tuple[int, int]:
    """First and end cell number of all positions, with two to spare."""
    return (math.floor(rows.min() + columns.min()) - 2, math.ceil(rows.max() + columns.max()) + 3)


def _fixed(periods: NDArray[np.float64]) -> NDArray[np.int32]:
    return np.rint(periods * 2.0**PLACE_BITS).astype(np.int32)


def _steps(turned: Turned, first_u: int, first_v: int, pixels: float,
           grid: RasterGrid) -> NDArray[np.float64]:
    u, v = first_u - turned.aside_u, first_v - turned.aside_v
    x = (u * turned.cos - v * turned.sin) / turned.periods_per_mm + turned.origin_x_mm
    y = (u * turned.sin + v * turned.cos) / turned.periods_per_mm + turned.origin_y_mm
    return np.array([[grid.row_of(x), grid.column_of(y)],
                     [-turned.cos * pixels, -turned.sin * pixels],
                     [turned.sin * pixels, -turned.cos * pixels]])
