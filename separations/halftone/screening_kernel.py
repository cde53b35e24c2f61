"""The compiled loop that turns a plane into dots at a ruling and an angle.

A region is taken in stretches of columns, each from its first row to its last, so that what the
rows share stays in the first cache. Levels of a plane row are spread over a stretch once; each
film row then weighs four such rows, takes its spot and compares, and packs eight pixels to a byte.
All sums are whole numbers or float32 in a fixed order without contraction, so a pixel has the same
value whatever is asked for around it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from separations.halftone.cell_states_kernel import clear_outside_cells, marks_between
from separations.halftone.even_dots_kernel import lay_dots_and_holes
from separations.halftone.packed_rows import NONE, PART, clear_outside, kept, pack
from separations.halftone.plane_rows_kernel import (
    CLEAR,
    ONE_SHIFT,
    SOLID,
    STRETCH,
    PlaneParts,
    WorkRoom,
    spread_rows,
    stretch_of,
)
from separations.halftone.spot_kernel import cut_dots
from separations.runtime.compiled_code import compiled_on_borrowed_arrays, inner_kernel

if TYPE_CHECKING:
    from separations.halftone.cell_states import CellStates
    from separations.halftone.even_dots import EvenDots
    from separations.halftone.film_spot import FilmSpot

_GONE, _SOME_DOT, _SOME_HOLE = np.uint8(1), np.uint8(2), np.uint8(4)
_SOME_INSIDE, _SOME_OUTSIDE = np.uint8(8), np.uint8(16)


@inner_kernel
def _ink_stretch(tones: PlaneParts, spot: FilmSpot, states: CellStates, even: EvenDots, row: int,
                 columns: tuple[int, int], room: WorkRoom) -> bool:
    """Ink a stretch of one film row, in the room; whether there is anything to ink."""
    c0, c1 = columns
    count = c1 - c0
    high = states.high
    limits = (np.int32(states.low << ONE_SHIFT), np.int32(high << ONE_SHIFT))
    least, most = spread_rows(tones, row, columns, room)
    decided = states.cells.size > 0
    met = marks_between(states.marks, row, c0, c1) if decided else np.uint8(0)
    outside = met & (_SOME_INSIDE | _SOME_OUTSIDE) == _SOME_OUTSIDE
    if outside or (least == CLEAR and (high == CLEAR or not met & _SOME_DOT)):
        return False
    if count < STRETCH:
        room.on[:] = 0
    on = room.on[:count]
    met_even = marks_between(even.marks, row, c0, c1) if even.drawings.size else np.uint8(0)
    laid = 0
    if decided and most == SOLID and not met & (_SOME_HOLE | _SOME_OUTSIDE):
        on[:] = 1
        laid = count
    elif met_even:
        laid = lay_dots_and_holes(even, met_even, row, c0, room.cell, room.turned, on)
    if laid < count or met & _SOME_OUTSIDE:
        cut_dots(stretch_of(tones, row, count, limits, room), spot, states, row, columns,
                  met & _GONE != 0, room)
        if laid:
            lay_dots_and_holes(even, met_even, row, c0, room.cell, room.turned, on)
        if met & _SOME_OUTSIDE:
            clear_outside_cells(states, row, c0, on)
    return True


@compiled_on_borrowed_arrays
def screen_rows(
        tones: PlaneParts, spot: FilmSpot, states: CellStates, even: EvenDots,
        spans: tuple[NDArray[np.int32], NDArray[np.int32]], corner: tuple[int, int],
        packed: NDArray[np.uint8], room: WorkRoom) -> None:
    """Fill ``packed`` with the dots of a region of the film.

    Parameters
    ----------
    tones : PlaneParts
    spot : FilmSpot
    states : CellStates
    even : EvenDots
    spans : tuple of NDArray of int32, shapes (film rows, S)
        Starts and ends of spans to keep; S = 0 keeps everything.
    corner : tuple of int
        Row and column where the region starts; the column is a multiple of 8.
    packed : NDArray of uint8, shape (rows, bytes)
        The result, 1 = ink; bits past the film's last column are clear.
    room : WorkRoom
        What `work_room` gives.
    """
    first_row, first_column = corner
    starts, ends = spans
    end_column = min(first_column + packed.shape[1] * 8, tones.column_base.size)
    eight = room.on.view(np.uint64)
    for c0 in range(first_column, end_column, STRETCH):
        c1 = min(c0 + STRETCH, end_column)
        room.held[0, :] = -1
        room.on[:] = 0
        for r in range(packed.shape[0]):
            row = first_row + r
            out = packed[r, (c0 - first_column) >> 3:(c1 - first_column + 7) >> 3]
            within = kept(starts[row], ends[row], c0, c1)
            if within == NONE or not _ink_stretch(tones, spot, states, even, row, (c0, c1), room):
                out[:] = 0
                continue
            pack(eight, out)
            if within == PART:
                clear_outside(starts[row], ends[row], c0, out, room.keep[:out.size])
