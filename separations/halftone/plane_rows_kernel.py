"""The compiled loops that spread the levels of a plane's rows over a film's columns."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from separations.runtime.compiled_code import inner_kernel

#: Columns handled at a time: what a stretch needs stays in the first cache. A multiple of 8.
STRETCH = 2048
#: The level of clear film, and that of a solid.
CLEAR = np.int32(32767)
SOLID = np.int32(-32767)
#: Weights are 1/16384ths.
ONE_SHIFT = np.int32(14)
_HALF = np.int32(8192)
_FIELD, _UPPERMOST = np.int64(16), np.int64(48)
_LOWER_THREE = np.int64(2**48 - 1)

Row16 = NDArray[np.int16]
#: Levels of four plane rows, or their weights, one for each film column.
FourRows = tuple[Row16, Row16, Row16, Row16]
#: The least and the greatest level.
Ends = tuple[np.int32, np.int32]


class PlaneParts(NamedTuple):
    """A plane of tones, and where film rows and columns fall in it.

    Attributes
    ----------
    plane : NDArray of uint16, shape (plane rows, plane columns)
    levels : NDArray of int16, shape (65536,)
        The level of each plane value.
    row_base, column_base : NDArray of int32, shapes (film rows,), (film columns,)
    row_weights, column_weights : NDArray of int16, shapes (4, film rows), (4, film columns)
        As `separations.halftone.upsampling.Taps` has them.
    """

    plane: NDArray[np.uint16]
    levels: NDArray[np.int16]
    row_base: NDArray[np.int32]
    row_weights: NDArray[np.int16]
    column_base: NDArray[np.int32]
    column_weights: NDArray[np.int16]


class WorkRoom(NamedTuple):
    """Arrays for `screen_rows` to work in: see `work_room`."""

    spread: NDArray[np.int16]
    held: NDArray[np.int64]
    fours: NDArray[np.int64]
    four: NDArray[np.int64]
    cell: NDArray[np.int32]
    height: NDArray[np.float32]
    on: NDArray[np.uint8]
    turned: NDArray[np.uint8]
    keep: NDArray[np.uint8]


class Stretch(NamedTuple):
    """What a film row's stretch is compared by.

    Attributes
    ----------
    rows : tuple of four NDArray of int16, shape (columns,)
        Levels of the four plane rows.
    weights : tuple of four int32
        What the film row takes of each.
    limits : tuple of int32
        Least and greatest level.
    """

    rows: FourRows
    weights: tuple[np.int32, np.int32, np.int32, np.int32]
    limits: Ends


def work_room(plane_columns: int) -> WorkRoom:
    """Arrays for `screen_rows` to work in, for a plane so wide."""
    return WorkRoom(
        spread=np.empty((4, STRETCH), np.int16), held=np.empty((3, 4), np.int64),
        fours=np.empty(plane_columns + 4, np.int64), four=np.empty(STRETCH, np.int64),
        cell=np.empty(STRETCH, np.int32), height=np.empty(STRETCH, np.float32),
        on=np.empty(STRETCH, np.uint8), turned=np.empty(STRETCH, np.uint8),
        keep=np.empty(STRETCH >> 3, np.uint8))


@inner_kernel
def _fours_of_levels(row: NDArray[np.uint16], levels: Row16, first: int,
                     fours: NDArray[np.int64]) -> tuple[np.int64, np.int64]:
    """Levels of four neighbours, the leftmost lowest; entry k holds first + k − 1 to first + k + 2.

    Says the least and the greatest.
    """
    last = row.size - 1
    lowest = np.int64(CLEAR)
    highest = np.int64(SOLID)
    four = np.int64(0)
    for k in range(-3, fours.size):
        level = np.int64(levels[row[min(max(first + k + 2, 0), last)]])
        lowest = min(lowest, level)
        highest = max(highest, level)
        four = ((four >> _FIELD) & _LOWER_THREE) | (level << _UPPERMOST)
        if k >= 0:
            fours[k] = four
    return lowest, highest


@inner_kernel
def _spread(fours: NDArray[np.int64], first: int, base: NDArray[np.int32], weights: FourRows,
            four: NDArray[np.int64], out: Row16) -> Ends:
    """Interpolate one stretch of a plane row at the film's columns; say least and greatest."""
    count = out.size
    for j in range(count):
        four[j] = fours[np.uint32(base[j] - first)]
    w0, w1, w2, w3 = weights
    lowest = CLEAR
    highest = SOLID
    for j in range(count):
        levels = four[j]
        level = (np.int32(w0[j]) * np.int32(np.int16(levels))
                 + np.int32(w1[j]) * np.int32(np.int16(levels >> _FIELD))
                 + np.int32(w2[j]) * np.int32(np.int16(levels >> (_FIELD + _FIELD)))
                 + np.int32(w3[j]) * np.int32(levels >> _UPPERMOST) + _HALF) >> ONE_SHIFT
        level = min(max(np.int32(level), SOLID), CLEAR)
        lowest = min(lowest, level)
        highest = max(highest, level)
        out[j] = np.int16(level)
    return lowest, highest


@inner_kernel
def spread_rows(tones: PlaneParts, row: int, columns: tuple[int, int],
                 room: WorkRoom) -> Ends:
    """Have the four plane rows of a film row spread over a stretch, each by its number's slot.

    The room's `held` keeps which rows are there with their least and greatest levels. Returns the
    least and greatest of all four.
    """
    c0, c1 = columns
    plane, held = tones.plane, room.held
    base = tones.column_base[c0:c1]
    first = base[0]
    fours = room.fours[:base[-1] - first + 1]
    least = np.int32(CLEAR)
    most = np.int32(SOLID)
    last_plane_row = plane.shape[0] - 1
    for k in range(4):
        source = min(max(tones.row_base[row] - 1 + k, 0), last_plane_row)
        slot = source & 3
        if held[0, slot] != source:
            held[0, slot] = source
            out = room.spread[slot, :c1 - c0]
            lowest, highest = _fours_of_levels(plane[source], tones.levels, first, fours)
            if lowest == highest:
                out[:] = lowest
                held[1, slot], held[2, slot] = lowest, highest
            else:
                weights = tones.column_weights
                low, high = _spread(
                    fours, first, base, (weights[0, c0:c1], weights[1, c0:c1], weights[2, c0:c1],
                                         weights[3, c0:c1]), room.four, out)
                held[1, slot], held[2, slot] = low, high
        least = min(least, np.int32(held[1, slot]))
        most = max(most, np.int32(held[2, slot]))
    return least, most


@inner_kernel
def stretch_of(tones: PlaneParts, row: int, count: int, limits: Ends,
                room: WorkRoom) -> Stretch:
    """What a film row's stretch is compared by, once `spread_rows` has been there."""
    base, last, spread = tones.row_base[row], tones.plane.shape[0] - 1, room.spread
    weights = tones.row_weights
    return Stretch(
        (spread[min(max(base - 1, 0), last) & 3, :count], spread[min(base, last) & 3, :count],
         spread[min(base + 1, last) & 3, :count], spread[min(base + 2, last) & 3, :count]),
        (np.int32(weights[0, row]), np.int32(weights[1, row]), np.int32(weights[2, row]),
         np.int32(weights[3, row])), limits)
