"""Ink counted from the dots themselves, in coarse cells over the film."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preflight.raster_grid import RasterGrid

#: About how wide a coarse cell is (mm).
CELL_MM = 2.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CoverageMap:
    """The share of film pixels inked in each coarse cell.

    Attributes
    ----------
    share : NDArray of float32, shape (cell rows, cell columns)
        0 to 1; cells cut by the film's lower or right edge count their own pixels only.
    grid : RasterGrid
        The cells in the board frame.
    """

    share: NDArray[np.float32]
    grid: RasterGrid


def cell_pixels(film_grid: RasterGrid) -> int:
    """Side of a coarse cell in film pixels: whole bytes, as near `CELL_MM` as they come."""
    return 8 * max(1, round(CELL_MM / film_grid.pixel_mm / 8))


def empty_counts(film_grid: RasterGrid) -> NDArray[np.int64]:
    """Zero counts of all coarse cells, shape (cell rows, cell columns), int64."""
    side = cell_pixels(film_grid)
    return np.zeros((-(-film_grid.rows // side), -(-film_grid.columns // side)), np.int64)


def count_cells(packed: NDArray[np.uint8], first_row: int, side: int,
                counts: NDArray[np.int64]) -> None:
    """Add the ink pixels of whole film rows to their coarse cells.

    Parameters
    ----------
    packed : NDArray of uint8, shape (rows, bytes)
        Film rows from ``first_row`` on.
    side : int
        Side of a cell in film pixels; a multiple of 8.
    counts : NDArray of int64, shape (cell rows, cell columns)
        Added to in place.
    """
    from separations.halftone.packed_rows import add_ones

    starts = np.arange(0, packed.shape[1], side // 8)
    row = 0
    while row < len(packed):
        cell, within = divmod(first_row + row, side)
        end = min(row + side - within, len(packed))
        by_byte = np.zeros(packed.shape[1], np.uint32)
        add_ones(packed[row:end], by_byte)
        counts[cell, :len(starts)] += np.add.reduceat(by_byte, starts, dtype=np.int64)
        row = end


def coverage_map(counts: NDArray[np.int64], film_grid: RasterGrid) -> CoverageMap:
    """The counts as shares of each cell's own pixels."""
    side = cell_pixels(film_grid)
    rows = np.diff(np.append(np.arange(len(counts)) * side, film_grid.rows))
    columns = np.diff(np.append(np.arange(counts.shape[1]) * side, film_grid.columns))
    cells = RasterGrid(top_x_mm=film_grid.top_x_mm, left_y_mm=film_grid.left_y_mm,
                       pixel_mm=side * film_grid.pixel_mm,
                       rows=len(rows), columns=len(columns))
    return CoverageMap(share=(counts / np.outer(rows, columns)).astype(np.float32), grid=cells)
