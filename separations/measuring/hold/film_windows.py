"""Windows of a film: the very bits that it has there, without readying all of it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely import box

from preflight.frames.film_scale import FilmScale
from preflight.frames.raster_grid import RasterGrid
from preflight.frames.tiled_plane import TILE, tiled
from separations.halftone.cell_states import cell_states
from separations.halftone.even_dots import even_dots
from separations.halftone.film_bands import dots_in
from separations.halftone.film_content import (
    ColumnSpans,
    FilmArea,
    FilmContent,
    FilmLines,
    dot_cutting_spans,
    grid_of_four,
)
from separations.halftone.film_spot import FilmSpot, film_spot
from separations.halftone.screening import (
    Layer,
    Screening,
    lay_over,
    prepare,
    ready_lines,
)
from separations.halftone.tone_levels import tone_levels
from separations.halftone.upsampling import Taps, column_taps, row_taps

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


class FilmWindows:
    """A film that is asked for the dots of windows, few of it all.

    Its content is cut to each window, since readying a whole film costs more than all its windows;
    what depends on rows or on columns alone is made once for all windows in one line. Scattered
    dots need the whole, readied once.

    Parameters
    ----------
    content : FilmContent
        The film.
    """

    def __init__(self, content: FilmContent) -> None:
        self._content = content
        self._plane = np.ascontiguousarray(content.tones)
        self._whole = None if content.spec.is_periodic else prepare(content)
        self._rows: dict[tuple[int, int], tuple[Taps, FilmSpot]] = {}
        self._columns: dict[tuple[int, int], tuple[Taps, FilmSpot]] = {}

    def bits(self, window: Window) -> NDArray[np.bool_]:
        """The film's dots in a window inside the film: bool, shape (rows, columns), True = ink."""
        if self._whole is not None:
            return dots_in(self._whole, window.first_row, window.end_row, window.first_column,
                           window.end_column)
        cut = content_in(self._content, window)
        row_taps_there, row_spot = self._of_rows(window.first_row, window.end_row)
        column_taps_there, column_spot = self._of_columns(window.first_column, window.end_column)
        layer = Layer(
            plane=self._plane, levels=tone_levels(cut.spec), rows=row_taps_there,
            columns=column_taps_there, states=cell_states(cut), even=even_dots(cut),
            spot=row_spot._replace(waves=column_spot.waves,
                                   column_turns=column_spot.column_turns),
            cuts=dot_cutting_spans(cut))
        ready = Screening(content=cut, tones=layer, lines=ready_lines(cut))
        return dots_in(ready, 0, cut.film_grid.rows, 0, cut.film_grid.columns)

    def _of_rows(self, first: int, end: int) -> tuple[Taps, FilmSpot]:
        if (first, end) not in self._rows:
            content = self._content
            grid = replace(content.film_grid.band(first, end), columns=1)
            self._rows[first, end] = (row_taps(grid, content.tone_grid, scale=content.scale.along),
                                      film_spot(content.spec, grid))
        return self._rows[first, end]

    def _of_columns(self, first: int, end: int) -> tuple[Taps, FilmSpot]:
        if (first, end) not in self._columns:
            content = self._content
            film = content.film_grid
            grid = replace(film, left_y_mm=film.left_y_mm - first * film.pixel_mm,
                           columns=end - first, rows=1)
            self._columns[first, end] = (
                column_taps(grid, content.tone_grid, scale=content.scale.across),
                film_spot(content.spec, grid))
        return self._columns[first, end]


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


def line_bits(content: FilmContent, window: Window, *, solid: bool = False) -> NDArray[np.bool_]:
    """A film's line work and flat colours in a window, without its photograph.

    Parameters
    ----------
    content : FilmContent
        The film; its tones do not matter.
    window : Window
        Inside the film.
    solid : bool
        Whether the lines lie on solid ink, as far as the film's spans reach, or on clear film.

    Returns
    -------
    NDArray of bool, shape (rows, columns)
        True = ink.
    """
    cut = content_in(replace(content, tones=np.zeros((2, 2), np.uint16),
                             tone_grid=grid_of_four(content.film_grid)), window)
    rows, columns = cut.film_grid.rows, cut.film_grid.columns
    packed = np.zeros((rows, cut.row_bytes), np.uint8)
    if solid:
        packed[:] = 255 if cut.spans is None else np.packbits(_inside(cut.spans, columns), axis=1)
    lay_over(ready_lines(cut), (0, rows, 0, None), packed)
    return np.unpackbits(packed, axis=1, count=columns).view(np.bool_)


def _inside(spans: ColumnSpans, columns: int) -> NDArray[np.bool_]:
    """Pixels of rows so wide that lie in one of their spans."""
    at = np.arange(columns)
    within = (spans.starts[:, :, None] <= at) & (at < spans.ends[:, :, None])
    return np.asarray(within.any(axis=1))


def _line_in(line: FilmLines | FilmArea, board: RasterGrid) -> FilmLines | FilmArea | None:
    """What of a sheet may reach a window; none where nothing does."""
    if isinstance(line, FilmArea):
        bottom = board.top_x_mm - board.rows * board.pixel_mm
        right = board.left_y_mm - board.columns * board.pixel_mm
        least_x, least_y, greatest_x, greatest_y = line.area.bounds
        beside = (least_x > board.top_x_mm or greatest_x < bottom
                  or least_y > board.left_y_mm or greatest_y < right)
        if beside:
            return None
        window = box(bottom, right, board.top_x_mm, board.left_y_mm)
        return line if window.intersects(line.area) else None
    rows, columns = _spans(line.grid, board, 0.0)
    if not line.plane.places[rows[0] // TILE:-(-rows[1] // TILE),
                             columns[0] // TILE:-(-columns[1] // TILE)].any():
        return None
    plane = line.plane.window(*rows, *columns)
    if not plane.any():
        return None
    return replace(line, plane=tiled(plane), grid=_part(line.grid, rows, columns))


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
    rows, columns = _spans(grid, film, beside_mm)
    return (np.ascontiguousarray(plane[rows[0]:rows[1], columns[0]:columns[1]]),
            _part(grid, rows, columns))


def _part(grid: RasterGrid, rows: tuple[int, int], columns: tuple[int, int]) -> RasterGrid:
    """The grid of some rows and columns."""
    return replace(grid, top_x_mm=grid.top_x_mm - rows[0] * grid.pixel_mm,
                   left_y_mm=grid.left_y_mm - columns[0] * grid.pixel_mm,
                   rows=rows[1] - rows[0], columns=columns[1] - columns[0])


def _spans(grid: RasterGrid, film: RasterGrid,
           beside_mm: float) -> tuple[tuple[int, int], tuple[int, int]]:
    """Rows and columns of a plane that a window of the film needs."""
    margin = _PLANE_MARGIN + math.ceil(beside_mm / grid.pixel_mm)
    top, left = grid.row_of(film.top_x_mm), grid.column_of(film.left_y_mm)
    scale = film.pixel_mm / grid.pixel_mm
    rows = _span(top, top + film.rows * scale, margin, grid.rows)
    columns = _span(left, left + film.columns * scale, margin, grid.columns)
    return rows, columns


def _span(start: float, end: float, margin: int, count: int) -> tuple[int, int]:
    first = min(max(math.floor(start) - margin, 0), max(count - 2, 0))
    return first, min(max(math.ceil(end) + margin, first + 2), count)


def _runs_in(spans: ColumnSpans, window: Window) -> _Runs:
    rows = np.s_[window.first_row:window.end_row]
    width = window.end_column - window.first_column
    starts, ends = (np.minimum(np.maximum(columns[rows] - window.first_column, 0), width)
                    for columns in (spans.starts, spans.ends))
    return _Runs(starts=starts, ends=ends)
