"""Areas turned into runs of pixels band by band, in memory that follows the outline alone."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from shapely import get_coordinates, get_parts, is_empty, orient_polygons

from preflight.board.area_mask import Area
from preflight.frames.raster_grid import RasterGrid

#: Pixel centres are told from an edge in steps of this many decimals of a pixel.
_SNAP_DECIMALS = 6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Runs:
    """Runs of columns whose pixel centres lie inside, for some rows.

    Attributes
    ----------
    bounds : NDArray of int32, shape (2 × runs,)
        First column and column just past each run, row by row, left to right.
    offsets : NDArray of int64, shape (rows + 1,)
        Where each row's bounds begin.
    """

    bounds: NDArray[np.int32]
    offsets: NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AreaRuns:
    """An area on a grid, ready to give the runs of any rows; see `area_runs`.

    Attributes
    ----------
    first, end : NDArray of int32, shape (edges,)
        Rows whose centres each edge passes, half-open, in order of ``first``.
    row, column, rows_long, columns_wide : NDArray of float64, shape (edges,)
        Start of each edge in pixels, and how far it runs, signed.
    most_rows : int
        Rows that the tallest edge passes.
    """

    first: NDArray[np.int32] = field(repr=False)
    end: NDArray[np.int32] = field(repr=False)
    row: NDArray[np.float64] = field(repr=False)
    column: NDArray[np.float64] = field(repr=False)
    rows_long: NDArray[np.float64] = field(repr=False)
    columns_wide: NDArray[np.float64] = field(repr=False)
    most_rows: int
    columns: int

    def band(self, first_row: int, end_row: int) -> Runs | None:
        """The runs of the rows ``first_row`` to ``end_row`` (exclusive); None where there are none.

        A row's runs do not depend on the band in which they are asked for.
        """
        chosen = slice(*np.searchsorted(self.first, [first_row - self.most_rows + 1, end_row]))
        near = np.flatnonzero(self.end[chosen] > first_row) + chosen.start
        if not len(near):
            return None
        low = np.maximum(self.first[near], first_row).astype(np.int64)
        many = np.minimum(self.end[near], end_row) - low
        edge = np.repeat(near, many)
        total = np.cumsum(many)
        row = np.repeat(low - (total - many), many) + np.arange(total[-1])
        along = np.clip((row + 0.5 - self.row[edge]) / self.rows_long[edge], 0.0, 1.0)
        crossing = self.column[edge] + along * self.columns_wide[edge] - 0.5
        column = np.clip(np.ceil(np.round(crossing, _SNAP_DECIMALS)), 0, self.columns)
        order = np.lexsort((column, row))
        per_row = np.bincount(row - first_row, minlength=end_row - first_row)
        return Runs(bounds=column[order].astype(np.int32),
                    offsets=np.concatenate([[0], np.cumsum(per_row)]).astype(np.int64))


def area_runs(area: Area, grid: RasterGrid) -> AreaRuns:
    """Prepare an area for scan conversion: pixels whose centres lie inside it belong to it.

    Parameters
    ----------
    area : Polygon or MultiPolygon
        In board mm; valid, so that an odd number of crossings is inside.
    grid : RasterGrid
        The film's pixels.
    """
    rings = []
    for part in get_parts(orient_polygons(area)) if not is_empty(area) else []:
        rings += [get_coordinates(ring) for ring in (part.exterior, *part.interiors)]
    start = np.concatenate([np.empty((0, 2)), *(ring[:-1] for ring in rings)])
    end = np.concatenate([np.empty((0, 2)), *(ring[1:] for ring in rings)])
    row0, row1 = ((grid.top_x_mm - point[:, 0]) / grid.pixel_mm for point in (start, end))
    column0, column1 = ((grid.left_y_mm - point[:, 1]) / grid.pixel_mm for point in (start, end))
    first, last = (
        np.clip(np.ceil(np.round(side - 0.5, _SNAP_DECIMALS)), 0, grid.rows).astype(np.int32)
        for side in (np.minimum(row0, row1), np.maximum(row0, row1)))
    order = np.argsort(first, kind="stable")
    order = order[last[order] > first[order]]
    return AreaRuns(
        first=first[order], end=last[order], row=row0[order], column=column0[order],
        rows_long=(row1 - row0)[order], columns_wide=(column1 - column0)[order],
        most_rows=int((last - first)[order].max(initial=0)), columns=grid.columns)
