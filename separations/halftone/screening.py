"""A film's content made ready to screen, and any region of it turned into dots."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, overload

import numpy as np
from numpy.typing import NDArray

from preflight.board.area_runs import AreaRuns, area_runs
from preflight.frames.film_scale import FilmScale
from separations.halftone.cell_states import CellStates, cell_states
from separations.halftone.even_dots import EvenDots, even_dots
from separations.halftone.film_content import (
    FilmArea,
    FilmContent,
    FilmDots,
    LaidDots,
    LineAction,
    Spans,
    cutting_spans,
    dot_cutting_spans,
    grid_of_four,
)
from separations.halftone.film_spot import FilmSpot, film_spot
from separations.halftone.line_layer import LineLayer, lay_lines, line_layer
from separations.halftone.stochastic import Scatter, scatter
from separations.halftone.tone_levels import tone_levels
from separations.halftone.upsampling import Taps, column_taps, row_taps


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layer:
    """The tones ready for the film."""

    plane: NDArray[Any]
    levels: NDArray[np.int16]
    rows: Taps
    columns: Taps
    spot: FilmSpot
    states: CellStates
    even: EvenDots
    cuts: Spans


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AreaLayer:
    """An area ready for the film: its runs, and the dots it takes where it has a tint."""

    runs: AreaRuns
    action: LineAction
    tint: Screening | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Screening:
    """A film ready to be screened in regions of any size and order; see `prepare`."""

    content: FilmContent
    tones: Layer | Scatter
    lines: tuple[LineLayer | AreaLayer, ...]


#: A film ready to be asked for regions.
Prepared = Screening | LaidDots


@overload
def prepare(content: FilmContent) -> Screening:  # noqa: D418
    """A film's tables."""


@overload
def prepare(content: LaidDots) -> LaidDots:  # noqa: D418
    """Dots that need none."""


@overload
def prepare(content: Screening) -> Screening:  # noqa: D418
    """A film that has its tables already."""


@overload
def prepare(content: FilmDots | Screening) -> Prepared:  # noqa: D418
    """Whichever it is."""


def prepare(content: FilmDots | Screening) -> Prepared:
    """Compute all tables of a film once: a few megabytes, a few milliseconds."""
    if not isinstance(content, FilmContent):
        return content
    return Screening(
        content=content, lines=ready_lines(content),
        tones=_periodic(content) if content.spec.is_periodic else scatter(content))


def ready_lines(content: FilmContent) -> tuple[LineLayer | AreaLayer, ...]:
    """A film's line work and flat colours alone made ready, for `lay_over`."""
    cuts = cutting_spans(content)
    return tuple(_drawn(line, content) if isinstance(line, FilmArea)
                 else line_layer(line, content, cuts) for line in content.lines)


def _drawn(drawn: FilmArea, content: FilmContent) -> AreaLayer:
    """An area's runs; with a tint, the film's own dots for that tone everywhere."""
    tint = None
    if drawn.tone < 1:
        grid = grid_of_four(content.film_grid)
        tones = np.full((2, 2), round(drawn.tone * 65_535), np.uint16)
        tint = prepare(replace(content, tones=tones, tone_grid=grid, spans=None,
                               whole_edge_dots=False, lines=(), scale=FilmScale()))
    return AreaLayer(runs=area_runs(content.scale.grown(drawn.area), content.film_grid),
                     action=drawn.action, tint=tint)


def _periodic(content: FilmContent) -> Layer:
    grid = content.film_grid
    return Layer(plane=np.ascontiguousarray(content.tones), levels=tone_levels(content.spec),
                 rows=row_taps(grid, content.tone_grid, scale=content.scale.along),
                 columns=column_taps(grid, content.tone_grid, scale=content.scale.across),
                 spot=film_spot(content.spec, grid), states=cell_states(content),
                 even=even_dots(content),
                 cuts=dot_cutting_spans(content))


def screen_region(screening: Prepared, first_row: int, end_row: int,
                  first_column: int = 0, end_column: int | None = None) -> NDArray[np.uint8]:
    """The dots of a region of the film.

    Parameters
    ----------
    first_row, end_row : int
        Film rows, half-open.
    first_column, end_column : int
        Film columns, half-open; the first a multiple of 8, the end ``None`` for the film's.

    Returns
    -------
    NDArray of uint8, shape (rows, ceil(columns / 8))
        1 = ink, leftmost pixel in the highest bit; past the film's last column clear.
    """
    if first_column % 8:
        raise ValueError("the first column must be a multiple of 8")
    width = (screening.content.film_grid.columns if end_column is None else end_column) \
        - first_column
    if isinstance(screening, LaidDots):
        return screening.region(first_row, end_row, first_column, first_column + width)
    shape = (end_row - first_row, (width + 7) // 8)
    packed = np.empty(shape, np.uint8)
    if isinstance(screening.tones, Scatter):
        _scatter(screening.tones, first_row, first_column, packed)
    else:
        _screen(screening.tones, first_row, first_column, packed)
    lay_over(screening.lines, (first_row, end_row, first_column, end_column), packed)
    return packed


def lay_over(lines: tuple[LineLayer | AreaLayer, ...], region: tuple[int, int, int, int | None],
             packed: NDArray[np.uint8]) -> None:
    """Print and clear line work and flat colours in packed rows, as `screen_region` has them.

    Parameters
    ----------
    lines : tuple of LineLayer or AreaLayer
        Of `ready_lines`.
    region : tuple
        First and end row, first and end column, as for `screen_region`.
    packed : NDArray of uint8, shape (rows, bytes)
        What lies beneath; changed.
    """
    for line in lines:
        if isinstance(line, AreaLayer):
            _draw(line, region, packed)
            continue
        lay_lines(line, region[:2], region[2] // 8, packed)


def _draw(drawn: AreaLayer, region: tuple[int, int, int, int | None],
          packed: NDArray[np.uint8]) -> None:
    from separations.halftone.packed_rows import fill_runs

    runs = drawn.runs.band(*region[:2])
    if runs is None:
        return
    inside = np.zeros_like(packed)
    fill_runs(runs.bounds, runs.offsets, region[2], inside)
    if drawn.action == "knock out":
        packed &= ~inside
    elif inside.any():
        packed |= inside if drawn.tint is None else inside & screen_region(drawn.tint, *region)


def _screen(layer: Layer, first_row: int, first_column: int,
            packed: NDArray[np.uint8]) -> None:
    from separations.halftone.plane_rows_kernel import PlaneParts, work_room
    from separations.halftone.screening_kernel import screen_rows

    tones = PlaneParts(plane=layer.plane, levels=layer.levels,
                       row_base=layer.rows.base, row_weights=layer.rows.weights,
                       column_base=layer.columns.base, column_weights=layer.columns.weights)
    screen_rows(tones, layer.spot, layer.states, layer.even, layer.cuts,
                (first_row, first_column), packed, work_room(layer.plane.shape[1]))


def _scatter(tones: Scatter, first_row: int, first_column: int,
             packed: NDArray[np.uint8]) -> None:
    from separations.halftone.stochastic_kernel import scatter_rows

    scatter_rows(tones, (first_row, first_column), packed)
