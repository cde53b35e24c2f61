"""The compiled loop that turns a plane into dots at a ruling and an angle.

A region is taken in stretches of columns, each from its first row to its last, so that what the
rows share stays in the first cache. Levels of a plane row are spread over a stretch once
(``_spread``); each film row then weighs four such rows, adds up its spot and compares
(``_compare_*``), and packs eight pixels to a byte. All sums are whole numbers or float32 in a
fixed order without contraction, so a pixel has the same value whatever is asked for around it.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from separations.halftone.cell_states_kernel import (
    clear_outside_cells,
    compare_thinned,
    marks_between,
)
from separations.halftone.even_dots_kernel import lay_dots_and_holes
from separations.halftone.packed_rows import NONE, PART, clear_outside, kept, pack
from separations.runtime.compiled_code import NO_ALLOCATION_FLAGS

#: Columns handled at a time: what a stretch needs stays in the first cache. A multiple of 8.
STRETCH = 2048
_CLEAR = np.int32(32767)
_SOLID = np.int32(-32767)
_HALF = np.int32(8192)
_ONE_SHIFT = np.int32(14)
_SIGN_SHIFT = np.int32(31)
_FIELD, _UPPERMOST = np.int64(16), np.int64(48)
_LOWER_THREE = np.int64(2**48 - 1)
_GONE, _SOME_DOT, _SOME_HOLE = np.uint8(1), np.uint8(2), np.uint8(4)
_SOME_INSIDE, _SOME_OUTSIDE = np.uint8(8), np.uint8(16)

_compiled = njit(**NO_ALLOCATION_FLAGS)


@_compiled
def _fours_of_levels(row, levels, first, fours):  # type: ignore[no-untyped-def]
    """Levels of four neighbours, the leftmost lowest; entry k holds first + k − 1 to first + k + 2.

    Says the least and the greatest.
    """
    last = row.size - 1
    lowest = np.int64(_CLEAR)
    highest = np.int64(_SOLID)
    four = np.int64(0)
    for k in range(-3, fours.size):
        level = np.int64(levels[row[min(max(first + k + 2, 0), last)]])
        lowest = min(lowest, level)
        highest = max(highest, level)
        four = ((four >> _FIELD) & _LOWER_THREE) | (level << _UPPERMOST)
        if k >= 0:
            fours[k] = four
    return lowest, highest


@_compiled
def _spread(fours, first, base, weights, four, out):  # type: ignore[no-untyped-def]
    """Interpolate one stretch of a plane row at the film's columns; say least and greatest."""
    count = out.size
    for j in range(count):
        four[j] = fours[np.uint32(base[j] - first)]
    w0, w1, w2, w3 = weights
    lowest = _CLEAR
    highest = _SOLID
    for j in range(count):
        levels = four[j]
        level = (np.int32(w0[j]) * np.int32(np.int16(levels))
                 + np.int32(w1[j]) * np.int32(np.int16(levels >> _FIELD))
                 + np.int32(w2[j]) * np.int32(np.int16(levels >> (_FIELD + _FIELD)))
                 + np.int32(w3[j]) * np.int32(levels >> _UPPERMOST) + _HALF) >> _ONE_SHIFT
        level = min(max(np.int32(level), _SOLID), _CLEAR)
        lowest = min(lowest, level)
        highest = max(highest, level)
        out[j] = np.int16(level)
    return lowest, highest


@_compiled
def _compare_waves(rows, w, limits, waves, amplitude, on):  # type: ignore[no-untyped-def]
    """Where the rank-4 cosine spot exceeds the level, held between limits."""
    above, first, second, below = rows
    low, high = limits
    b0, b1, b2, b3 = waves
    w0, w1, w2, w3 = w
    a0, a1, a2, a3 = amplitude
    for j in range(first.size):
        level = (w0 * np.int32(above[j]) + w1 * np.int32(first[j])
                 + w2 * np.int32(second[j]) + w3 * np.int32(below[j]))
        level = min(max(np.int32(level), low), high)
        spot = a0 * b0[j] + a1 * b1[j] + a2 * b2[j] + a3 * b3[j]
        on[j] = np.uint8(spot > np.float32(level))


@_compiled
def _compare_folds(rows, w, limits, turns, turn, on):  # type: ignore[no-untyped-def]
    """Where the folded spot exceeds the level; positions are in 2⁻³² periods and wrap."""
    above, first, second, below = rows
    low, high = limits
    w0, w1, w2, w3 = w
    along, across = turns
    u_row, v_row = turn
    top = np.float32(32766.0 * 16384.0)
    slope = np.float32(32766.0 * 16384.0 / 2147483648.0)
    for j in range(first.size):
        level = (w0 * np.int32(above[j]) + w1 * np.int32(first[j])
                 + w2 * np.int32(second[j]) + w3 * np.int32(below[j]))
        level = min(max(np.int32(level), low), high)
        u = np.int32(along[j] + u_row)
        v = np.int32(across[j] + v_row)
        u = u ^ (u >> _SIGN_SHIFT)
        v = v ^ (v >> _SIGN_SHIFT)
        spot = top - slope * (np.float32(u) + np.float32(v))
        on[j] = np.uint8(spot > np.float32(level))


@_compiled
def _spot_of_waves(waves, amplitude, spot):  # type: ignore[no-untyped-def]
    """The cosine spot alone, as `_compare_waves` adds it up."""
    b0, b1, b2, b3 = waves
    a0, a1, a2, a3 = amplitude
    for j in range(b0.size):
        spot[j] = a0 * b0[j] + a1 * b1[j] + a2 * b2[j] + a3 * b3[j]


@_compiled
def _spot_of_folds(turns, turn, spot):  # type: ignore[no-untyped-def]
    """The folded spot alone, as `_compare_folds` has it."""
    along, across = turns
    u_row, v_row = turn
    top = np.float32(32766.0 * 16384.0)
    slope = np.float32(32766.0 * 16384.0 / 2147483648.0)
    for j in range(along.size):
        u = np.int32(along[j] + u_row)
        v = np.int32(across[j] + v_row)
        u = u ^ (u >> _SIGN_SHIFT)
        v = v ^ (v >> _SIGN_SHIFT)
        spot[j] = top - slope * (np.float32(u) + np.float32(v))


def work_room(plane_columns: int) -> tuple[Any, ...]:
    """Arrays for `screen_rows` to work in, for a plane so wide."""
    return (np.empty((4, STRETCH), np.int16), np.empty((3, 4), np.int64),
            np.empty(plane_columns + 4, np.int64),
            np.empty(STRETCH, np.int64), np.empty(STRETCH, np.int32),
            np.empty(STRETCH, np.float32), np.empty(STRETCH, np.uint8),
            np.empty(STRETCH, np.uint8), np.empty(STRETCH >> 3, np.uint8))


@_compiled
def _spread_rows(plane, levels, row_base, column_base, column_weights, room):  # type: ignore[no-untyped-def]
    """Have the four plane rows of a film row spread over a stretch, each by its number's slot.

    The room's `held` keeps which rows are there with their least and greatest levels. Returns the
    slots and the least and greatest of all four.
    """
    spread, held, all_fours, four = room
    first = column_base[0]
    fours = all_fours[:column_base[-1] - first + 1]
    least = np.int32(_CLEAR)
    most = np.int32(_SOLID)
    last_plane_row = plane.shape[0] - 1
    for k in range(4):
        source = min(max(row_base - 1 + k, 0), last_plane_row)
        slot = source & 3
        if held[0, slot] != source:
            held[0, slot] = source
            out = spread[slot, :column_base.size]
            lowest, highest = _fours_of_levels(plane[source], levels, first, fours)
            if lowest == highest:
                out[:] = lowest
            else:
                w0, w1, w2, w3 = column_weights
                lowest, highest = _spread(fours, first, column_base, (w0, w1, w2, w3),
                                          four, out)
            held[1, slot] = lowest
            held[2, slot] = highest
        least = min(least, np.int32(held[1, slot]))
        most = max(most, np.int32(held[2, slot]))
    return least, most


@_compiled
def screen_rows(  # type: ignore[no-untyped-def]  # noqa: C901, PLR0913
        plane, levels, row_base, row_weights, column_base, column_weights,
        folded, amplitudes, waves, row_turns, column_turns, states, even, starts, ends,
        first_row, first_column, packed, room):
    """Fill ``packed`` with the dots of a region of the film.

    Parameters
    ----------
    plane : NDArray of uint16 or uint8, shape (plane rows, plane columns)
    levels : NDArray of int16, shape (65536,) or (256,)
        The level of each plane value.
    row_base, column_base : NDArray of int32, shapes (film rows,), (film columns,)
    row_weights, column_weights : NDArray of int16, shapes (4, film rows), (4, film columns)
    folded : bool
        Whether the spot is the folded one (turns) or a cosine one (amplitudes and waves).
    amplitudes, waves : NDArray of float32, shapes (film rows, 4), (4, film columns)
    row_turns, column_turns : NDArray of int32, shapes (film rows, 2), (2, film columns)
    states : tuple
        Parts of a `cell_states.CellStates`: cells, marks, row_places, column_places, low, high.
    even : tuple
        Parts of an `even_dots.EvenDots`: offsets, drawings, width, side, row_places,
        column_places, marks.
    starts, ends : NDArray of int32, shapes (film rows, S)
        Spans to keep; S = 0 keeps everything.
    first_row, first_column : int
        Where the region starts; ``first_column`` is a multiple of 8.
    packed : NDArray of uint8, shape (rows, bytes)
        The result, 1 = ink; bits past the film's last column are clear.
    room : tuple of NDArray
        What `work_room` gives.
    """
    end_column = min(first_column + packed.shape[1] * 8, column_base.size)
    spread, held, fours, four, cell, height, on, turned, keep = room
    eight = on.view(np.uint64)
    cells, marks, row_places, column_places, low, high = states
    decided = cells.size > 0
    flat_cells = cells.reshape(-1)
    width = np.int32(cells.shape[1])
    limits = (np.int32(low << _ONE_SHIFT), np.int32(high << _ONE_SHIFT))
    even_marks = even[6]
    draws = even[1].size > 0
    for c0 in range(first_column, end_column, STRETCH):
        c1 = min(c0 + STRETCH, end_column)
        count = c1 - c0
        held[0, :] = -1
        on[:] = 0
        wave = (waves[0, c0:c1], waves[1, c0:c1], waves[2, c0:c1], waves[3, c0:c1])
        weights = (column_weights[0, c0:c1], column_weights[1, c0:c1],
                   column_weights[2, c0:c1], column_weights[3, c0:c1])
        turns = (column_turns[0, c0:c1], column_turns[1, c0:c1])
        for r in range(packed.shape[0]):
            row = first_row + r
            out = packed[r, (c0 - first_column) >> 3:(c1 - first_column + 7) >> 3]
            within = kept(starts[row], ends[row], c0, c1)
            if within == NONE:
                out[:] = 0
                continue
            least, most = _spread_rows(plane, levels, row_base[row], column_base[c0:c1], weights,
                                       (spread, held, fours, four))
            met = marks_between(marks, row, c0, c1) if decided else np.uint8(0)
            outside = met & (_SOME_INSIDE | _SOME_OUTSIDE) == _SOME_OUTSIDE
            if outside or (least == _CLEAR and (high == _CLEAR or not met & _SOME_DOT)):
                out[:] = 0
                continue
            if count < STRETCH:
                on[:] = 0
            met_even = marks_between(even_marks, row, c0, c1) if draws else np.uint8(0)
            laid = 0
            if decided and most == _SOLID and not met & (_SOME_HOLE | _SOME_OUTSIDE):
                on[:count] = 1
                laid = count
            elif met_even:
                laid = lay_dots_and_holes(even, met_even, row, c0, cell, turned, on[:count])
            if laid < count or met & _SOME_OUTSIDE:
                base = row_base[row]
                w = (np.int32(row_weights[0, row]), np.int32(row_weights[1, row]),
                     np.int32(row_weights[2, row]), np.int32(row_weights[3, row]))
                last = plane.shape[0] - 1
                rows = (spread[min(max(base - 1, 0), last) & 3, :count],
                        spread[min(base, last) & 3, :count],
                        spread[min(base + 1, last) & 3, :count],
                        spread[min(base + 2, last) & 3, :count])
                amplitude = (amplitudes[row, 0], amplitudes[row, 1],
                             amplitudes[row, 2], amplitudes[row, 3])
                turn = (row_turns[row, 0], row_turns[row, 1])
                if met & _GONE:
                    if folded:
                        _spot_of_folds(turns, turn, height)
                    else:
                        _spot_of_waves(wave, amplitude, height)
                    compare_thinned(height, rows, w, limits, flat_cells, width,
                                    (column_places[0, c0:c1], column_places[1, c0:c1]),
                                    (row_places[row, 0], row_places[row, 1]), cell, on)
                elif folded:
                    _compare_folds(rows, w, limits, turns, turn, on)
                else:
                    _compare_waves(rows, w, limits, wave, amplitude, on)
                if laid:
                    lay_dots_and_holes(even, met_even, row, c0, cell, turned, on[:count])
                if met & _SOME_OUTSIDE:
                    clear_outside_cells(flat_cells, width,
                                        (column_places[0, c0:c1], column_places[1, c0:c1]),
                                        (row_places[row, 0], row_places[row, 1]), on)
            pack(eight, out)
            if within == PART:
                clear_outside(starts[row], ends[row], c0, out, keep[:out.size])
