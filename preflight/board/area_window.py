"""The few rows and columns of a grid that an area meets."""

from __future__ import annotations

from dataclasses import replace

from preflight.board.area_mask import Area
from preflight.raster_grid import RasterGrid


def rows_and_columns(area: Area, grid: RasterGrid) -> tuple[slice, slice]:
    """Rows and columns of the grid that the area's bounds meet; empty slices for none."""
    if area.is_empty:
        return slice(0, 0), slice(0, 0)
    least_x, least_y, greatest_x, greatest_y = area.bounds
    rows = slice(max(0, int(grid.row_of(greatest_x))),
                 max(0, min(grid.rows, int(grid.row_of(least_x)) + 1)))
    columns = slice(max(0, int(grid.column_of(greatest_y))),
                    max(0, min(grid.columns, int(grid.column_of(least_y)) + 1)))
    return rows, columns


def part_of(grid: RasterGrid, rows: slice, columns: slice) -> RasterGrid | None:
    """The grid of some rows and columns alone; None where there are none."""
    if rows.start >= rows.stop or columns.start >= columns.stop:
        return None
    return replace(grid.band(rows.start, rows.stop),
                   left_y_mm=grid.left_y_mm - columns.start * grid.pixel_mm,
                   columns=columns.stop - columns.start)
