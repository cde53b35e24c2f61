"""A film's content made ready to screen, and any region of it turned into dots."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, overload

import numpy as np
from numpy.typing import NDArray

from preflight.board.area_runs import AreaRuns, area_runs
from preflight.frames.film_scale import FilmScale
from preflight.frames.raster_grid import RasterGrid
from preflight.press.halftone_spec import HalftoneSpec
from separations.halftone.cell_lattice import Turned
from separations.halftone.cell_states import CellStates, cell_states
from separations.halftone.dot_shapes import DOT_SHAPES, CosineSpot
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
from separations.halftone.line_layer import LineLayer, lay_lines, line_layer
from separations.halftone.stochastic import Scatter, scatter
from separations.halftone.tone_levels import SPOT_SCALE, tone_levels
from separations.halftone.upsampling import WEIGHT_ONE, Taps, column_taps, row_taps


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SpotTables:
    """The spot, as factors of film rows and film columns.

    Attributes
    ----------
    folded : bool
        Whether the turns hold the spot, else the waves.
    amplitudes, waves : NDArray of float32, shapes (rows, 4), (4, columns)
        Their products summed are the spot in level units × 16384.
    row_turns, column_turns : NDArray of int32, shapes (rows, 2), (2, columns)
        Their sums are the position (u, v) in 2⁻³² periods.
    """

    folded: bool
    amplitudes: NDArray[np.float32]
    waves: NDArray[np.float32]
    row_turns: NDArray[np.int32]
    column_turns: NDArray[np.int32]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layer:
    """The tones ready for the film."""

    plane: NDArray[Any]
    levels: NDArray[np.int16]
    rows: Taps
    columns: Taps
    spot: SpotTables
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
                 spot=spot_tables(content.spec, grid), states=cell_states(content),
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


def spot_tables(spec: HalftoneSpec, grid: RasterGrid) -> SpotTables:
    """The spot of a halftone over a film, in the board frame, at pixel centres."""
    turned = Turned.of(spec, grid)
    u_row, v_row = turned.of_rows(grid.row_centres_x_mm())
    u_column, v_column = turned.of_columns(grid.column_centres_y_mm())
    spot = DOT_SHAPES[spec.dot_shape]
    if isinstance(spot, CosineSpot):
        scale = SPOT_SCALE * WEIGHT_ONE / (spot.along + spot.across)
        amplitudes = np.stack([spot.along * scale * np.cos(2 * np.pi * u_row),
                               -spot.along * scale * np.sin(2 * np.pi * u_row),
                               spot.across * scale * np.cos(2 * np.pi * v_row),
                               -spot.across * scale * np.sin(2 * np.pi * v_row)], axis=1)
        waves = np.stack([np.cos(2 * np.pi * u_column), np.sin(2 * np.pi * u_column),
                          np.cos(2 * np.pi * v_column), np.sin(2 * np.pi * v_column)])
        return SpotTables(folded=False, amplitudes=amplitudes.astype(np.float32),
                          waves=waves.astype(np.float32),
                          row_turns=np.zeros((grid.rows, 2), np.int32),
                          column_turns=np.zeros((2, grid.columns), np.int32))
    return SpotTables(folded=True, amplitudes=np.zeros((grid.rows, 4), np.float32),
                      waves=np.zeros((4, grid.columns), np.float32),
                      row_turns=_turns(np.stack([u_row, v_row], axis=1)),
                      column_turns=_turns(np.stack([u_column, v_column])))


def _turns(periods: NDArray[np.float64]) -> NDArray[np.int32]:
    """Periods as 2⁻³² of a period that wrap, signed from the nearest whole period."""
    return np.rint((periods - np.round(periods)) * 2.0**32).astype(np.int64).astype(np.int32)


def _screen(layer: Layer, first_row: int, first_column: int,
            packed: NDArray[np.uint8]) -> None:
    from separations.halftone.screening_kernel import screen_rows, work_room

    spot = layer.spot
    screen_rows(layer.plane, layer.levels, layer.rows.base, layer.rows.weights,
                layer.columns.base, layer.columns.weights,
                spot.folded, spot.amplitudes, spot.waves, spot.row_turns, spot.column_turns,
                layer.states.parts, layer.even.parts,
                *layer.cuts, first_row, first_column, packed,
                work_room(layer.plane.shape[1]))


def _scatter(tones: Scatter, first_row: int, first_column: int,
             packed: NDArray[np.uint8]) -> None:
    from separations.halftone.stochastic_kernel import scatter_rows

    scatter_rows(tones.plane, tones.thresholds, tones.lattice_rows, tones.row_parts,
                 tones.column_places, tones.first_place, tones.row_to_plane,
                 tones.place_to_plane, tones.place_to_film, tones.inside, *tones.cuts, first_row,
                 first_column, packed)
