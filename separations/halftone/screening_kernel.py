"""The compiled loop that turns a plane into dots at a ruling and an angle.

Levels of a plane row are spread over the film's columns once (``_spread``); each film row then
weighs four such rows, adds up its spot and compares (``_compare_*``), and packs eight pixels to
a byte. All sums are whole numbers or float32 in a fixed order without contraction, so a pixel
has the same value whatever is asked for around it.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from separations.compiled_code import LENT_FLAGS
from separations.halftone.cell_states_kernel import (
    clear_outside_cells,
    compare_thinned,
    marks_between,
)
from separations.halftone.even_dots_kernel import lay_even_dots
from separations.halftone.packed_rows import clear_outside, pack

#: Columns handled at a time: what a stretch needs stays in the first cache. A multiple of 8.
STRETCH = 512
_CLEAR = np.int32(32767)
_SOLID = np.int32(-32767)
_HALF = np.int32(8192)
_ONE_SHIFT = np.int32(14)
_SIGN_SHIFT = np.int32(31)
_FIELD = np.int32(16)
_GONE, _SOME_DOT, _SOME_HOLE = np.uint8(1), np.uint8(2), np.uint8(4)
_SOME_INSIDE, _SOME_OUTSIDE = np.uint8(8), np.uint8(16)

_compiled = njit(**LENT_FLAGS)


@_compiled
def _pairs_of_levels(row, levels, pairs):  # type: ignore[no-untyped-def]
    """Each plane pixel's level with its right neighbour's above it; entry k holds k − 1, k."""
    count = row.size
    left = np.int32(levels[row[0]])
    lowest = left
    highest = left
    for k in range(count):
        right = np.int32(levels[row[k]])
        lowest = min(lowest, right)
        highest = max(highest, right)
        pairs[k] = np.int32((right << _FIELD) | (left & np.int32(0xFFFF)))
        left = right
    for k in range(count, count + 3):
        pairs[k] = np.int32((left << _FIELD) | (left & np.int32(0xFFFF)))
    return lowest, highest


@_compiled
def _spread(pairs, base, weights, low_pair, high_pair, out):  # type: ignore[no-untyped-def]
    """Interpolate one stretch of a plane row at the film's columns; say least and greatest."""
    count = out.size
    for j in range(count):
        low_pair[j] = pairs[np.uint32(base[j])]
    for j in range(count):
        high_pair[j] = pairs[np.uint32(base[j]) + np.uint32(2)]
    w0, w1, w2, w3 = weights
    lowest = _CLEAR
    highest = _SOLID
    for j in range(count):
        low = low_pair[j]
        high = high_pair[j]
        level = (np.int32(w0[j]) * np.int32(np.int16(low))
                 + np.int32(w1[j]) * np.int32(low >> _FIELD)
                 + np.int32(w2[j]) * np.int32(np.int16(high))
                 + np.int32(w3[j]) * np.int32(high >> _FIELD) + _HALF) >> _ONE_SHIFT
        level = min(max(np.int32(level), _SOLID), _CLEAR)
        lowest = min(lowest, level)
        highest = max(highest, level)
        out[j] = np.int16(level)
    return lowest, highest


@_compiled
def _compare_waves(rows, w, waves, amplitude, on):  # type: ignore[no-untyped-def]
    """Where the rank-4 cosine spot exceeds the level."""
    above, first, second, below = rows
    b0, b1, b2, b3 = waves
    w0, w1, w2, w3 = w
    a0, a1, a2, a3 = amplitude
    for j in range(first.size):
        level = (w0 * np.int32(above[j]) + w1 * np.int32(first[j])
                 + w2 * np.int32(second[j]) + w3 * np.int32(below[j]))
        spot = a0 * b0[j] + a1 * b1[j] + a2 * b2[j] + a3 * b3[j]
        on[j] = np.uint8(spot > np.float32(np.int32(level)))


@_compiled
def _compare_folds(rows, w, turns, turn, on):  # type: ignore[no-untyped-def]
    """Where the folded spot exceeds the level; positions are in 2⁻³² periods and wrap."""
    above, first, second, below = rows
    w0, w1, w2, w3 = w
    along, across = turns
    u_row, v_row = turn
    top = np.float32(32766.0 * 16384.0)
    slope = np.float32(32766.0 * 16384.0 / 2147483648.0)
    for j in range(first.size):
        level = (w0 * np.int32(above[j]) + w1 * np.int32(first[j])
                 + w2 * np.int32(second[j]) + w3 * np.int32(below[j]))
        u = np.int32(along[j] + u_row)
        v = np.int32(across[j] + v_row)
        u = u ^ (u >> _SIGN_SHIFT)
        v = v ^ (v >> _SIGN_SHIFT)
        spot = top - slope * (np.float32(u) + np.float32(v))
        on[j] = np.uint8(spot > np.float32(np.int32(level)))


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


@_compiled
def _lay_both(even, met, row, first_column, cell, turned, on):  # type: ignore[no-untyped-def]
    """Lay drawn dots, then drawn holes, where a stretch may meet some; how many pixels."""
    offsets, drawings, width, side, row_places, column_places, _ = even
    end = first_column + on.size
    laid = 0
    for half in range(2):
        if met & np.uint8(1 << half):
            laid += lay_even_dots(
                offsets[half], drawings, (width, side),
                (column_places[0, first_column:end], column_places[1, first_column:end]),
                (row_places[row, 0], row_places[row, 1]), (row, first_column), half, cell,
                turned, on)
    return laid


def work_room(plane_columns: int, region_bytes: int) -> tuple[Any, ...]:
    """Arrays for `screen_rows` to work in, for a plane and a region so wide."""
    stretches = (region_bytes * 8 + STRETCH - 1) // STRETCH
    return (np.empty((4, region_bytes * 8), np.int16),
            np.empty((4, stretches), np.int32), np.empty((4, stretches), np.int32),
            np.empty(4, np.int64), np.empty(4, np.int64), np.empty(plane_columns + 3, np.int32),
            np.empty(STRETCH, np.int32), np.empty(STRETCH, np.int32),
            np.empty(STRETCH, np.float32), np.empty(STRETCH, np.uint8),
            np.empty(STRETCH, np.uint8), np.empty(region_bytes, np.uint8))


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
    last_plane_row = plane.shape[0] - 1
    stretches = (packed.shape[1] * 8 + STRETCH - 1) // STRETCH
    (spread, lowest, highest, held, slot, pairs, low_pair, high_pair, height, on, turned,
     keep) = room
    eight = on.view(np.uint64)
    held[:] = -1
    on[:] = 0
    cells, marks, row_places, column_places, low, high = states
    decided = cells.size > 0
    flat_cells = cells.reshape(-1)
    width = np.int32(cells.shape[1])
    limits = (np.int32(low << _ONE_SHIFT), np.int32(high << _ONE_SHIFT))
    even_marks = even[6]
    draws = even[1].size > 0
    for r in range(packed.shape[0]):
        row = first_row + r
        for k in range(4):
            source = min(max(row_base[row] - 1 + k, 0), last_plane_row)
            slot[k] = source & 3
            if held[slot[k]] == source:
                continue
            held[slot[k]] = source
            least, most = _pairs_of_levels(plane[source], levels, pairs)
            if least == most:
                spread[slot[k], :] = least
                lowest[slot[k], :] = least
                highest[slot[k], :] = most
                continue
            for t in range(stretches):
                c0 = first_column + t * STRETCH
                c1 = min(c0 + STRETCH, end_column)
                least, most = _spread(
                    pairs, column_base[c0:c1],
                    (column_weights[0, c0:c1], column_weights[1, c0:c1],
                     column_weights[2, c0:c1], column_weights[3, c0:c1]),
                    low_pair, high_pair,
                    spread[slot[k], c0 - first_column:c1 - first_column])
                lowest[slot[k], t] = least
                highest[slot[k], t] = most
        w = (np.int32(row_weights[0, row]), np.int32(row_weights[1, row]),
             np.int32(row_weights[2, row]), np.int32(row_weights[3, row]))
        for t in range(stretches):
            c0 = first_column + t * STRETCH
            c1 = min(c0 + STRETCH, end_column)
            r0 = c0 - first_column
            r1 = c1 - first_column
            out = packed[r, r0 >> 3:(r1 + 7) >> 3]
            least = min(min(lowest[0, t], lowest[1, t]), min(lowest[2, t], lowest[3, t]))
            most = max(max(highest[0, t], highest[1, t]), max(highest[2, t], highest[3, t]))
            met = marks_between(marks, row, c0, c1) if decided else np.uint8(0)
            outside = met & (_SOME_INSIDE | _SOME_OUTSIDE) == _SOME_OUTSIDE
            if outside or (least == _CLEAR and (high == _CLEAR or not met & _SOME_DOT)):
                out[:] = 0
                continue
            if c1 - c0 < STRETCH:
                on[:] = 0
            if decided and most == _SOLID and not met & (_SOME_HOLE | _SOME_OUTSIDE):
                on[:c1 - c0] = 1
                pack(eight, out)
                continue
            met_even = marks_between(even_marks, row, c0, c1) if draws else np.uint8(0)
            laid = 0
            if met_even:
                laid = _lay_both(even, met_even, row, c0, low_pair, turned, on[:c1 - c0])
            if laid == c1 - c0 and not met & _SOME_OUTSIDE:
                pack(eight, out)
                continue
            rows = (spread[slot[0], r0:r1], spread[slot[1], r0:r1],
                    spread[slot[2], r0:r1], spread[slot[3], r0:r1])
            wave = (waves[0, c0:c1], waves[1, c0:c1], waves[2, c0:c1], waves[3, c0:c1])
            amplitude = (amplitudes[row, 0], amplitudes[row, 1],
                         amplitudes[row, 2], amplitudes[row, 3])
            turns = (column_turns[0, c0:c1], column_turns[1, c0:c1])
            turn = (row_turns[row, 0], row_turns[row, 1])
            beyond = (most - least) >> 2
            if decided and (met & _GONE or most + beyond >= high or least - beyond <= low):
                if folded:
                    _spot_of_folds(turns, turn, height)
                else:
                    _spot_of_waves(wave, amplitude, height)
                compare_thinned(height, rows, w, limits, flat_cells, width,
                                (column_places[0, c0:c1], column_places[1, c0:c1]),
                                (row_places[row, 0], row_places[row, 1]), low_pair, on)
            elif folded:
                _compare_folds(rows, w, turns, turn, on)
            else:
                _compare_waves(rows, w, wave, amplitude, on)
            if laid:
                _lay_both(even, met_even, row, c0, low_pair, turned, on[:c1 - c0])
            if met & _SOME_OUTSIDE:
                clear_outside_cells(flat_cells, width,
                                    (column_places[0, c0:c1], column_places[1, c0:c1]),
                                    (row_places[row, 0], row_places[row, 1]), on)
            pack(eight, out)
        if starts.shape[1] > 0:
            clear_outside(starts[row], ends[row], first_column, packed[r], keep)
