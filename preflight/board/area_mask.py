"""Areas turned into pixels: exact coverage for planes, runs of pixel centres for films.

Both work on the few pixels that the boundary crosses, so cost follows the outline's length and
not the number of pixels.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray
from shapely import get_coordinates, get_num_geometries, get_parts, is_empty, orient_polygons
from shapely.geometry import MultiPolygon, Polygon

from preflight.frames.raster_grid import RasterGrid

Area: TypeAlias = Polygon | MultiPolygon
FULL_COVERAGE = 65535
#: Decimals of a pixel's coverage that count, so that it does not depend on the rows above it.
_LEVEL_DECIMALS = 9
#: Pixel centres are told from an edge in steps of this many decimals of a pixel, so that an edge
#: through centres falls to the same side whatever band of the grid is asked for.
_SNAP_DECIMALS = 6


class _Edges(NamedTuple):
    """Edges in pixel coordinates, exteriors one way round and holes the other; each (E,)."""

    row0: NDArray[np.float64]
    column0: NDArray[np.float64]
    row1: NDArray[np.float64]
    column1: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RowSpans:
    """For each row, the runs of columns whose pixel centres lie inside an area.

    Attributes
    ----------
    starts, ends : NDArray of int32, shape (rows, S)
        Half-open runs, left to right; unused ones have ``start == end``.
    columns : int
        Width of the grid.
    """

    starts: NDArray[np.int32]
    ends: NDArray[np.int32]
    columns: int

    @property
    def rows(self) -> int:
        """Height of the grid."""
        return len(self.starts)

    def band(self, first_row: int, end_row: int) -> RowSpans:
        """The spans of the rows ``first_row`` to ``end_row`` (exclusive)."""
        return RowSpans(starts=self.starts[first_row:end_row], ends=self.ends[first_row:end_row],
                        columns=self.columns)

    def inside(self) -> NDArray[np.bool_]:
        """The same as a bool array (rows, columns); meant for bands, not for whole films."""
        flips = np.zeros((self.rows, self.columns + 1), dtype=np.int8)
        row = np.arange(self.rows)
        for span in range(self.starts.shape[1]):
            flips[row, self.starts[:, span]] ^= 1
            flips[row, self.ends[:, span]] ^= 1
        return np.bitwise_xor.accumulate(flips, axis=1)[:, :-1].astype(np.bool_)


def coverage_mask(area: Area, grid: RasterGrid) -> NDArray[np.uint16]:
    """The share of each pixel that the area covers, exactly.

    Parameters
    ----------
    area : Polygon or MultiPolygon
        In board mm; may have holes and may reach beyond the grid.
    grid : RasterGrid
        The pixels.

    Returns
    -------
    NDArray of uint16, shape (rows, columns)
        65535 = wholly inside; rounded to nearest, so each pixel is right to 1 / 131,070.

    Notes
    -----
    Signed-area accumulation: each piece of edge within a pixel adds its height to all pixels to
    the right of it and a part of that to its own. Source: geometry (Green's theorem).
    """
    row, column, height, inset = _edge_pieces(_edges(area, grid), grid)
    at, step = _coverage_steps(row, column, height, inset, grid)
    where = np.flatnonzero(np.diff(at, append=-1))  # the last of each pixel's steps
    level = np.cumsum(step)[where]
    at = at[where]
    first = np.searchsorted(at, at // grid.columns * grid.columns)
    inside = np.round(np.abs(level - np.where(first > 0, level[first - 1], 0.0)), _LEVEL_DECIMALS)
    share = np.minimum(inside * FULL_COVERAGE + 0.5, FULL_COVERAGE).astype(np.uint16)
    mask = np.zeros(grid.rows * grid.columns, dtype=np.uint16)
    mask[at] = share
    end = np.append(at[1:], mask.size)
    for run in np.flatnonzero((end - at > 1) & (share > 0)):
        mask[at[run]:end[run]] = share[run]
    return mask.reshape(grid.rows, grid.columns)


def _coverage_steps(
    row: NDArray[np.int64], column: NDArray[np.int64], height: NDArray[np.float64],
    inset: NDArray[np.float64], grid: RasterGrid
) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """Where coverage steps along the pixels read row by row, and by how much; in order.

    Each row begins with a step of nothing, so that one row's level never runs into the next.
    """
    starts = np.arange(grid.rows) * grid.columns
    rows = np.concatenate([row, row])
    columns = np.concatenate([column, column + 1])
    steps = np.concatenate([height * (1.0 - inset), height * inset])
    kept = columns < grid.columns
    at = np.concatenate([starts, rows[kept] * grid.columns + columns[kept]])
    steps = np.concatenate([np.zeros(grid.rows), steps[kept]])
    order = np.argsort(at, kind="stable")
    return at[order], steps[order]


def row_spans(area: Area, grid: RasterGrid) -> RowSpans:
    """The runs of pixels whose centres lie inside the area, row by row.

    Parameters
    ----------
    area : Polygon or MultiPolygon
        In board mm.
    grid : RasterGrid
        The film's pixels, or a band of them: a row's spans do not depend on the band.
    """
    edges = _edges(area, grid)
    # In these coordinates centres are whole numbers; a row's crossing counts at its upper end.
    above = np.minimum(edges.row0, edges.row1) - 0.5
    below = np.maximum(edges.row0, edges.row1) - 0.5
    first = np.clip(np.ceil(np.round(above, _SNAP_DECIMALS)), 0, grid.rows).astype(np.int64)
    end = np.clip(np.ceil(np.round(below, _SNAP_DECIMALS)), 0, grid.rows).astype(np.int64)
    edge = np.repeat(np.arange(len(first)), end - first)
    row = first[edge] + _ranks(end - first)
    along = (row + 0.5 - edges.row0[edge]) / (edges.row1 - edges.row0)[edge]
    crossing = edges.column0[edge] + along * (edges.column1 - edges.column0)[edge] - 0.5
    column = np.ceil(np.round(crossing, _SNAP_DECIMALS))
    column = np.clip(column, 0, grid.columns).astype(np.int32)
    order = np.lexsort((column, row))
    row, column = row[order], column[order]
    per_row = np.bincount(row, minlength=grid.rows)
    most = max(1, int(per_row.max(initial=0)) // 2)
    bounds = np.zeros((grid.rows, 2 * most), dtype=np.int32)
    bounds[row, _ranks(per_row)] = column
    return RowSpans(starts=np.ascontiguousarray(bounds[:, 0::2]),
                    ends=np.ascontiguousarray(bounds[:, 1::2]), columns=grid.columns)


def _edges(area: Area, grid: RasterGrid) -> _Edges:
    """All edges of the area's rings, in (fractional) rows and columns of the grid."""
    rings = []
    for part in get_parts(orient_polygons(area)) if not is_empty(area) else []:
        rings += [get_coordinates(ring) for ring in (part.exterior, *part.interiors)]
    if not rings or get_num_geometries(area) == 0:
        nothing = np.empty(0)
        return _Edges(nothing, nothing, nothing, nothing)
    start = np.concatenate([ring[:-1] for ring in rings])
    end = np.concatenate([ring[1:] for ring in rings])
    return _Edges((grid.top_x_mm - start[:, 0]) / grid.pixel_mm,
                  (grid.left_y_mm - start[:, 1]) / grid.pixel_mm,
                  (grid.top_x_mm - end[:, 0]) / grid.pixel_mm,
                  (grid.left_y_mm - end[:, 1]) / grid.pixel_mm)


def _edge_pieces(edges: _Edges, grid: RasterGrid
                 ) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.float64],
                            NDArray[np.float64]]:
    """Edges cut at all pixel borders inside the grid.

    Returns
    -------
    row, column : NDArray of int64
        The pixel of each piece; pieces left of the grid count for column 0, those right of it
        for the spare column after the last.
    height : NDArray of float64
        Rows that the piece passes, signed, -1 to 1.
    inset : NDArray of float64
        How far from the pixel's left border the piece lies on average, 0 to 1.
    """
    count = len(edges.row0)
    whole = np.arange(count)
    by_row, at_row = _border_crossings(edges.row0, edges.row1, grid.rows)
    by_column, at_column = _border_crossings(edges.column0, edges.column1, grid.columns)
    edge = np.concatenate([whole, whole, by_row, by_column])
    at = np.concatenate([np.zeros(count), np.ones(count), at_row, at_column])
    order = np.lexsort((at, edge))
    edge, at = edge[order], at[order]
    row = edges.row0[edge] + at * (edges.row1 - edges.row0)[edge]
    column = edges.column0[edge] + at * (edges.column1 - edges.column0)[edge]
    same = edge[1:] == edge[:-1]
    height = (row[1:] - row[:-1])[same]
    middle_row = ((row[1:] + row[:-1]) / 2)[same]
    middle_column = np.clip(((column[1:] + column[:-1]) / 2)[same], 0.0, grid.columns)
    kept = (height != 0.0) & (middle_row >= 0.0) & (middle_row < grid.rows)
    height, middle_row, middle_column = height[kept], middle_row[kept], middle_column[kept]
    cell = np.floor(middle_column)
    return (np.floor(middle_row).astype(np.int64), cell.astype(np.int64), height,
            middle_column - cell)


def _border_crossings(start: NDArray[np.float64], end: NDArray[np.float64], limit: int
                      ) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """Where edges meet the borders 0, 1 … ``limit``: the edge, and how far along it (0 to 1)."""
    low = np.clip(np.floor(np.minimum(start, end)) + 1, 0, limit + 1).astype(np.int64)
    high = np.clip(np.ceil(np.maximum(start, end)), 0, limit + 1).astype(np.int64)
    many = np.maximum(high - low, 0)
    edge = np.repeat(np.arange(len(start)), many)
    border = low[edge] + _ranks(many)
    return edge, (border - start[edge]) / (end - start)[edge]


def _ranks(counts: NDArray[np.int64]) -> NDArray[np.int64]:
    """0, 1 … n − 1 for each count n, one after the other."""
    total = np.cumsum(counts)
    return np.arange(total[-1] if len(total) else 0) - np.repeat(total - counts, counts)


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
