"""Square pixels laid over the board: where each row and column lies in board millimetres.

A grid is seen as the operator sees the film: nose up, printed side towards the eye. Rows run
down, from nose to tail (x falls); columns run to the right (y falls, since +y is to the left of
the nose-up board).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, kw_only=True)
class RasterGrid:
    """Rows × columns of square pixels in the board frame.

    Attributes
    ----------
    top_x_mm : float
        x of the upper edge of row 0 (mm, towards the nose).
    left_y_mm : float
        y of the left edge of column 0 (mm).
    pixel_mm : float
        Side of one pixel (mm).
    rows, columns : int
        Size in pixels.
    """

    top_x_mm: float
    left_y_mm: float
    pixel_mm: float
    rows: int
    columns: int

    def row_centres_x_mm(self) -> NDArray[np.float64]:
        """x of the centre of each row, shape (rows,), falling."""
        return self.top_x_mm - (np.arange(self.rows, dtype=np.float64) + 0.5) * self.pixel_mm

    def column_centres_y_mm(self) -> NDArray[np.float64]:
        """y of the centre of each column, shape (columns,), falling."""
        return self.left_y_mm - (np.arange(self.columns, dtype=np.float64) + 0.5) * self.pixel_mm

    def row_of(self, x_mm: float) -> float:
        """The (fractional) row coordinate of x; row r spans r to r + 1."""
        return (self.top_x_mm - x_mm) / self.pixel_mm

    def column_of(self, y_mm: float) -> float:
        """The (fractional) column coordinate of y; column c spans c to c + 1."""
        return (self.left_y_mm - y_mm) / self.pixel_mm

    def band(self, first_row: int, end_row: int) -> RasterGrid:
        """The grid of the rows ``first_row`` to ``end_row`` (exclusive)."""
        return replace(self, top_x_mm=self.top_x_mm - first_row * self.pixel_mm,
                       rows=end_row - first_row)


def without_rim(grid: RasterGrid) -> RasterGrid:
    """The grid without its outermost pixels."""
    return replace(grid, top_x_mm=grid.top_x_mm - grid.pixel_mm,
                   left_y_mm=grid.left_y_mm - grid.pixel_mm, rows=grid.rows - 2,
                   columns=grid.columns - 2)


def grid_over(bounds_mm: tuple[float, float, float, float], pixel_mm: float) -> RasterGrid:
    """The smallest whole-pixel grid, centred on the bounds, that covers them.

    Parameters
    ----------
    bounds_mm : tuple of float
        (least x, least y, greatest x, greatest y) in board mm, as shapely gives them.
    pixel_mm : float
        Side of one pixel in mm.
    """
    least_x, least_y, greatest_x, greatest_y = bounds_mm
    rows = max(1, math.ceil((greatest_x - least_x) / pixel_mm - 1e-9))
    columns = max(1, math.ceil((greatest_y - least_y) / pixel_mm - 1e-9))
    return RasterGrid(
        top_x_mm=(least_x + greatest_x) / 2 + rows * pixel_mm / 2,
        left_y_mm=(least_y + greatest_y) / 2 + columns * pixel_mm / 2,
        pixel_mm=pixel_mm, rows=rows, columns=columns)
