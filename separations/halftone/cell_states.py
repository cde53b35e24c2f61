"""Which halftone cells print whole: fades of whole dots, and whole dots at the art's edge.

Below the smallest tone a cell either prints its smallest dot whole or nothing, and above the
largest tone it keeps its smallest hole whole or fills it. What a cell does is decided once, from
the mean tone round its own dot's (or hole's) middle against a blue-noise threshold of the cell,
before any film pixel is made: so no dot is ever cut, the mean tone is the tone asked for, and it
does not matter in which bands or crops the film is screened. Where dots are to stay whole at the
edge of the printed area, a cell prints if its dot's middle lies in the area, and else not at all.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from separations.halftone.blue_noise import cell_thresholds, tile_shift
from separations.halftone.cell_lattice import cell_places
from separations.halftone.film_content import FilmContent, middle_spans
from separations.halftone.tone_levels import CLEAR_LEVEL, SOLID_LEVEL, SOLID_TONE, held_ends

#: Film pixels along a block of `CellStates.marks`, as a power of two.
BLOCK_BITS = 6
#: What a cell's byte says, and what a block's does.
DOT_STAYS, HOLE_STAYS, INSIDE = 1, 2, 4
SOME_GONE, SOME_DOT, SOME_HOLE, SOME_INSIDE, SOME_OUTSIDE = 1, 2, 4, 8, 16


class CellStates(NamedTuple):
    """Which cells keep their dots and holes; compiled loops take it as it is.

    Attributes
    ----------
    cells : NDArray of uint8, shape (cells across, cells along)
        `DOT_STAYS` for the dot in the cell's corner (u, v whole) and `HOLE_STAYS` for the hole in
        its middle; where one has gone, the spot is flat. `INSIDE` where the dot's middle lies in
        the printed area. No cells: every dot and hole stays.
    row_places, column_places : NDArray of int32, shapes (film rows, 2), (2, film columns)
        Their sums are the position (u, v) from the first cell, in 2⁻¹⁵ periods.
    marks : NDArray of uint8, shape (block rows, block columns)
        What a block of 64 × 64 film pixels may meet: `SOME_GONE` and so on.
    low, high : int
        Levels beyond which none is taken: those of the largest and of the smallest dot.
    """

    cells: NDArray[np.uint8]
    row_places: NDArray[np.int32]
    column_places: NDArray[np.int32]
    marks: NDArray[np.uint8]
    low: int
    high: int


def all_stay() -> CellStates:
    """Every dot and hole stays."""
    return CellStates(cells=np.zeros((0, 0), np.uint8), row_places=np.zeros((0, 2), np.int32),
                      column_places=np.zeros((2, 0), np.int32), marks=np.zeros((0, 0), np.uint8),
                      low=SOLID_LEVEL, high=CLEAR_LEVEL)


def cell_states(content: FilmContent) -> CellStates:
    """Decide every cell of a film; `all_stay` where nothing asks for it."""
    from separations.halftone.cell_states_kernel import PlacedCells, decide_cells

    spec, grid, scale = content.spec, content.film_grid, content.scale
    scales = (grid.pixel_mm / content.tone_grid.pixel_mm / scale.along,
              grid.pixel_mm / content.tone_grid.pixel_mm / scale.across)
    block = math.ceil(spec.cell_pixels * max(scales)) + 2
    tones = np.ascontiguousarray(content.tones)
    lows, highs = _tone_ranges(tones, block)
    ends = held_ends(spec)
    smallest, smallest_hole = ends.smallest * SOLID_TONE, (1 - ends.largest) * SOLID_TONE
    sure = np.stack([lows > smallest, highs < SOLID_TONE - smallest_hole])
    thins = spec.small_dots == "thin" and bool(lows.min() < smallest
                                               or highs.max() > ends.largest * SOLID_TONE)
    if not (thins or content.whole_edge_dots):
        return all_stay()
    places = cell_places(spec, grid)
    cells = np.full(places.shape, DOT_STAYS | HOLE_STAYS | INSIDE, np.uint8)
    marks = np.zeros(((grid.rows >> BLOCK_BITS) + 1, (grid.columns >> BLOCK_BITS) + 1), np.uint8)
    thresholds = cell_thresholds()
    shift_v, shift_u = tile_shift(spec.pattern, len(thresholds))
    decide_cells(
        tones,
        np.roll(thresholds, (-places.first_v - shift_v, -places.first_u - shift_u), axis=(0, 1)),
        PlacedCells(
            steps=places.steps, scale=scales,
            offset=(content.tone_grid.row_of(grid.top_x_mm / scale.along),
                    content.tone_grid.column_of(grid.left_y_mm / scale.across)),
            film=(grid.rows, grid.columns, spec.cell_pixels)),
        (smallest, smallest_hole), middle_spans(content),
        (sure if thins else np.ones_like(sure), *blocks_of(content.tones.shape, block)), cells,
        marks)
    return CellStates(
        cells=cells, marks=marks, low=ends.low_level if thins else SOLID_LEVEL,
        high=ends.high_level if thins else CLEAR_LEVEL,
        row_places=places.row_places, column_places=places.column_places)


def blocks_of(shape: tuple[int, ...], block: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Which block of so many pixels each row, and each column, of a plane lies in."""
    rows, columns = (np.arange(many, dtype=np.int64) // block for many in shape)
    return rows, columns


def _tone_ranges(
    tones: NDArray[np.uint16], block: int
) -> tuple[NDArray[np.uint16], NDArray[np.uint16]]:
    """Least and greatest tone of each block of so many pixels along, and of those round it."""
    from separations.halftone.cell_states_kernel import tone_ranges

    lows, highs = np.empty((2, *((count - 1) // block + 1 for count in tones.shape)), np.uint16)
    tone_ranges(tones, block, np.empty((2, tones.shape[1]), np.uint16), lows, highs)
    round_it = np.ones((3, 3), np.uint8)
    return (np.asarray(cv2.erode(lows, round_it), np.uint16),
            np.asarray(cv2.dilate(highs, round_it), np.uint16))
