"""What one film shows: its tones, the area they may fill, and the line work over them."""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import Literal, Protocol

import numpy as np
from numpy.typing import NDArray

from preflight.board.area_mask import Area
from preflight.frames.film_scale import FilmScale
from preflight.frames.raster_grid import RasterGrid
from preflight.frames.tiled_plane import TiledPlane
from preflight.press.halftone_spec import HalftoneSpec

#: Starts and ends of runs of film columns, each int32 (film rows, S); S = 0 for everything.
Spans = tuple[NDArray[np.int32], NDArray[np.int32]]
LineAction = Literal["print", "knock out"]


class ColumnSpans(Protocol):
    """Half-open runs of columns, row by row, as `preflight.board.area_mask.RowSpans` has them."""

    @property
    def starts(self) -> NDArray[np.int32]:
        """First columns of the runs, shape (rows, S)."""

    @property
    def ends(self) -> NDArray[np.int32]:
        """Columns just past the runs, shape (rows, S); equal to the start where unused."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FilmLines:
    """Crisp work that is never screened.

    Attributes
    ----------
    plane : TiledPlane
        Coverage, 255 = line. On the film its outline runs where coverage is one half.
    grid : RasterGrid
        Where the plane lies; it covers the film.
    action : LineAction
        Whether this film prints the lines solid or is cleared there.
    """

    plane: TiledPlane
    grid: RasterGrid
    action: LineAction


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FilmArea:
    """An area with an outline as sharp as the film.

    Attributes
    ----------
    area : Polygon or MultiPolygon
        In board mm; film pixels whose centres lie inside belong to it. It is not cut to the
        film's spans: what lies outside them must not be in it.
    action : LineAction
        Whether this film prints the area or is cleared there.
    tone : float
        Film tone value it prints with, above 0 to 1; below 1 it is screened as the film is.
    """

    area: Area
    action: LineAction
    tone: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FilmContent:
    """All that decides one film's dots.

    Attributes
    ----------
    tones : NDArray of uint16, shape (rows, columns)
        Film tone values, 65535 = solid, 0 = clear.
    tone_grid : RasterGrid
        Where the tones lie; it covers the film.
    film_grid : RasterGrid
        The film's pixels.
    spec : HalftoneSpec
        The halftone; its ``film_dpi`` is that of ``film_grid``.
    spans : ColumnSpans or None
        Runs of film columns that may carry ink, row by row; ``None`` lets all.
    whole_edge_dots : bool
        Whether dots at the edge of the spans are whole or not there, by where their middles lie,
        rather than cut: they may reach past the edge by less than a cell, but not past the film.
        Line work is always cut.
    lines : tuple of FilmLines or FilmArea
        Line work and flat colours in the order in which it takes effect.
    scale : FilmScale
        Film mm for one mm of board: ``film_grid`` and ``spans`` lie on the film, tones and line
        work on the board. Ruling and angle hold on the film.
    """

    tones: NDArray[np.uint16]
    tone_grid: RasterGrid
    film_grid: RasterGrid
    spec: HalftoneSpec
    spans: ColumnSpans | None = None
    whole_edge_dots: bool = False
    lines: tuple[FilmLines | FilmArea, ...] = ()
    scale: FilmScale = FilmScale()

    def __post_init__(self) -> None:
        """Refuse parts that do not belong together; a fault of the caller's, not of a user."""
        _match(self.tones, self.tone_grid, np.dtype(np.uint16), "tones")
        for line in self.lines:
            if isinstance(line, FilmLines):
                _match_size(line.plane.shape, line.grid, "line work")
        if self.spans is not None and len(self.spans.starts) != self.film_grid.rows:
            raise ValueError("the spans have not as many rows as the film")

    @property
    def row_bytes(self) -> int:
        """Bytes of one packed film row."""
        return (self.film_grid.columns + 7) // 8


def cutting_spans(content: FilmContent) -> Spans:
    """Runs of film columns that cut line work, and dots unless they are whole at the edge."""
    if content.spans is None:
        return _no_spans(content)
    return (np.ascontiguousarray(content.spans.starts, np.int32),
            np.ascontiguousarray(content.spans.ends, np.int32))


def dot_cutting_spans(content: FilmContent) -> Spans:
    """Runs of film columns that cut dots; none where dots are whole at the edge."""
    return _no_spans(content) if content.whole_edge_dots else cutting_spans(content)


def middle_spans(content: FilmContent) -> Spans:
    """Runs of film columns in which dots' middles must lie; none where dots are cut instead."""
    return cutting_spans(content) if content.whole_edge_dots else _no_spans(content)


def grid_of_four(film: RasterGrid) -> RasterGrid:
    """Four pixels that cover a film: enough for tones that are the same everywhere."""
    side = max(film.rows, film.columns) * film.pixel_mm
    return RasterGrid(top_x_mm=film.top_x_mm, left_y_mm=film.left_y_mm, pixel_mm=side, rows=2,
                      columns=2)


def _no_spans(content: FilmContent) -> Spans:
    nothing = np.zeros((content.film_grid.rows, 0), np.int32)
    return nothing, nothing


def _match(plane: NDArray[np.generic], grid: RasterGrid, dtype: np.dtype[np.generic],
           what: str) -> None:
    if plane.dtype != dtype:
        raise ValueError(f"the {what} are {plane.dtype}, not {dtype}")
    _match_size(plane.shape, grid, what)


def _match_size(shape: tuple[int, ...], grid: RasterGrid, what: str) -> None:
    if shape != (grid.rows, grid.columns):
        raise ValueError(f"the {what} are {shape}, not {(grid.rows, grid.columns)}")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LaidDots(ABC):
    """A film's dots, ready to be asked for region by region.

    Attributes
    ----------
    film_grid : RasterGrid
        The film's pixels.
    spec : HalftoneSpec
        The halftone that the dots were screened with.
    """

    film_grid: RasterGrid
    spec: HalftoneSpec

    @property
    def content(self) -> LaidDots:
        """Itself: there is nothing left to prepare."""
        return self

    @abstractmethod
    def region(self, first_row: int, end_row: int, first_column: int,
               end_column: int) -> NDArray[np.uint8]:
        """Packed dots as `separations.halftone.screening.screen_region` gives them."""


#: What a film is made from.
FilmDots = FilmContent | LaidDots
