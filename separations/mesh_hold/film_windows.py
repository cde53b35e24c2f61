"""Windows of a film: the very bits that it has there, without readying all of it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely import box

from preflight.film_scale import FilmScale
from preflight.raster_grid import RasterGrid
from preflight.tiled_plane import tiled
from separations.halftone.film_bands import dots_in
from separations.halftone.film_content import AreaWork, ColumnSpans, FilmContent, LineWork
from separations.halftone.screening import Screening, prepare

#: Halftone cells kept round a window: a dot at its edge is drawn where three periods round it are
#: of one tone.
_CELLS_BESIDE = 4.5
#: Plane pixels kept round a window besides a halftone cell: taps and the mean over a cell.
_PLANE_MARGIN = 4


@dataclass(frozen=True, slots=True)
class Window:
    """A half-open region of film pixels."""

    first_row: int
    end_row: int
    first_column: int
    end_column: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Runs:
    starts: NDArray[np.int32]
    ends: NDArray[np.int32]


def window_bits(content: FilmContent | Screening, window: Window) -> NDArray[np.bool_]:
    """The film's dots in a window.

    Parameters
    ----------
    content : FilmContent or Screening
        The film. Where windows are few, its content is cut to each window, since readying a
        whole film costs more than all its windows; scattered dots need the whole, readied once.
    window : Window
        Inside the film.

    Returns
    -------
    NDArray of bool, shape (rows, columns)
        True = ink.
    """
    if isinstance(content, Screening) or not content.spec.is_periodic:
        return dots_in(content, window.first_row, window.end_row, window.first_column,
                       window.end_column)
    cut = content_in(content, window)
    return dots_in(prepare(cut), 0, cut.film_grid.rows, 0, cut.film_grid.columns)


def content_in(content: FilmContent, window: Window) -> FilmContent:
    """A film's content cut to a window; for periodic halftones, with the very same dots."""
    grid = content.film_grid
    film = replace(
        grid, top_x_mm=grid.top_x_mm - window.first_row * grid.pixel_mm,
        left_y_mm=grid.left_y_mm - window.first_column * grid.pixel_mm,
        rows=window.end_row - window.first_row, columns=window.end_column - window.first_column)
    cell_mm = _CELLS_BESIDE * content.spec.cell_pixels * grid.pixel_mm
    board = _on_board(film, content.scale)
    tones, tone_grid = _cut(content.tones, content.tone_grid, board, cell_mm)
    return replace(
        content, film_grid=film, tones=tones, tone_grid=tone_grid,
        spans=None if content.spans is None else _runs_in(content.spans, window),
        lines=tuple(cut for cut in (_line_in(line, board) for line in content.lines) if cut))


def only_lines(content: FilmContent, window: Window) -> FilmContent:
    """The line work that a film prints in a window, and nothing of the photograph."""
    cut = content_in(replace(
        content, tones=np.zeros((2, 2), np.uint16), tone_grid=_two_by_two(content.film_grid),
        lines=tuple(line for line in content.lines if line.action == "print")), window)
    return replace(cut, whole_edge_dots=False)


def _two_by_two(grid: RasterGrid) -> RasterGrid:
    side = max(grid.rows, grid.columns) * grid.pixel_mm
    return RasterGrid(top_x_mm=grid.top_x_mm, left_y_mm=grid.left_y_mm, pixel_mm=side, rows=2,
                      columns=2)


def _line_in(line: LineWork | AreaWork, board: RasterGrid) -> LineWork | AreaWork | None:
    """What of a sheet may reach a window; none where nothing does."""
    if isinstance(line, AreaWork):
        bottom = board.top_x_mm - board.rows * board.pixel_mm
        right = board.left_y_mm - board.columns * board.pixel_mm
        window = box(bottom, right, board.top_x_mm, board.left_y_mm)
        return line if window.intersects(line.area) else None
    rows, columns, grid = _part(line.grid, board, 0.0)
    plane = line.plane.window(*rows, *columns)
    return replace(line, plane=tiled(plane), grid=grid) if plane.any() else None


def _on_board(film: RasterGrid, scale: FilmScale) -> RasterGrid:
    """A window of the film where it lies on the board, a little large where the two differ."""
    if scale.is_true:
        return film
    return replace(film, top_x_mm=film.top_x_mm / scale.along,
                   left_y_mm=film.left_y_mm / scale.across,
                   pixel_mm=film.pixel_mm / min(scale.along, scale.across))


def _cut(plane: NDArray[Any], grid: RasterGrid, film: RasterGrid,
         beside_mm: float) -> tuple[NDArray[Any], RasterGrid]:
    """The part of a plane that a window of the film needs, and where it lies."""
    rows, columns, cut = _part(grid, film, beside_mm)
    return np.ascontiguousarray(plane[rows[0]:rows[1], columns[0]:columns[1]]), cut


def _part(grid: RasterGrid, film: RasterGrid,
          beside_mm: float) -> tuple[tuple[int, int], tuple[int, int], RasterGrid]:
    """Rows and columns of a plane that a window of the film needs, and the grid of these."""
    margin = _PLANE_MARGIN + math.ceil(beside_mm / grid.pixel_mm)
    top, left = grid.row_of(film.top_x_mm), grid.column_of(film.left_y_mm)
    scale = film.pixel_mm / grid.pixel_mm
    rows = _span(top, top + film.rows * scale, margin, grid.rows)
    columns = _span(left, left + film.columns * scale, margin, grid.columns)
    cut = replace(grid, top_x_mm=grid.top_x_mm - rows[0] * grid.pixel_mm,
                  left_y_mm=grid.left_y_mm - columns[0] * grid.pixel_mm,
                  rows=rows[1] - rows[0], columns=columns[1] - columns[0])
    return rows, columns, cut


def _span(start: float, end: float, margin: int, count: int) -> tuple[int, int]:
    first = min(max(math.floor(start) - margin, 0), max(count - 2, 0))
    return first, min(max(math.ceil(end) + margin, first + 2), count)


def _runs_in(spans: ColumnSpans, window: Window) -> _Runs:
    rows = np.s_[window.first_row:window.end_row]
    width = window.end_column - window.first_column
    return _Runs(starts=np.clip(spans.starts[rows] - window.first_column, 0, width),
                 ends=np.clip(spans.ends[rows] - window.first_column, 0, width))
