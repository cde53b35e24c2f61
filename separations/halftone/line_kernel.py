"""The compiled loop that draws line work on film rows: ink where half or more is covered."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from separations.halftone.packed_rows import NONE, PART, clear_outside, kept, pack
from separations.runtime.compiled_code import compiled_on_borrowed_arrays, inner_kernel

#: Columns handled at a time: few, as most of them are empty. A multiple of 8.
STRETCH = 256
_HALF = np.int32(8192)
_ONE_SHIFT = np.int32(14)


class LineTaps(NamedTuple):
    """Linear taps of one axis.

    Attributes
    ----------
    base : NDArray of int32, shape (n,)
    weights : NDArray of int16, shape (2, n)
        Of the plane's pixels at the base and after it.
    """

    base: NDArray[np.int32]
    weights: NDArray[np.int16]


class LineRoom(NamedTuple):
    """Arrays for `draw_lines` to work in: see `line_room`."""

    spread: NDArray[np.int16]
    held: NDArray[np.int64]
    levels: NDArray[np.int32]
    on: NDArray[np.uint8]
    keep: NDArray[np.uint8]


def line_room(plane_columns: int) -> LineRoom:
    """Arrays for `draw_lines` to work in, for a plane so wide."""
    return LineRoom(spread=np.empty((2, STRETCH), np.int16), held=np.empty((2, 2), np.int64),
                    levels=np.empty(plane_columns + 2, np.int32), on=np.empty(STRETCH, np.uint8),
                    keep=np.empty(STRETCH >> 3, np.uint8))


@inner_kernel
def _is_empty(row: NDArray[np.uint8], first: int, end: int) -> bool:
    """Whether pixels of a plane row are all without ink."""
    found = np.uint8(0)
    for k in range(first, min(end, row.size)):
        found |= row[k]
    return bool(found == 0)


@inner_kernel
def _levels_of(row: NDArray[np.uint8], levels: NDArray[np.int16], first: int,
               found: NDArray[np.int32]) -> None:
    """Levels of plane pixels from a first one on, the last repeated."""
    last = row.size - 1
    for k in range(found.size):
        found[k] = levels[row[min(first + k, last)]]


@inner_kernel
def _spread(levels: NDArray[np.int32], first: int, base: NDArray[np.int32],
            weights: tuple[NDArray[np.int16], NDArray[np.int16]], out: NDArray[np.int16]) -> None:
    """Interpolate one stretch of a plane row at the film's columns."""
    before, after = weights
    for j in range(out.size):
        k = np.uint32(base[j] - first)
        out[j] = np.int16((np.int32(before[j]) * levels[k]
                           + np.int32(after[j]) * levels[k + np.uint32(1)] + _HALF) >> _ONE_SHIFT)


@inner_kernel
def _compare(first: NDArray[np.int16], second: NDArray[np.int16],
             w: tuple[np.int32, np.int32], on: NDArray[np.uint8]) -> None:
    """Where two spread rows, weighed, lie on the side of ink."""
    w0, w1 = w
    for j in range(first.size):
        on[j] = np.uint8(w0 * np.int32(first[j]) + w1 * np.int32(second[j]) < np.int32(0))


@compiled_on_borrowed_arrays
def draw_lines(
        plane: NDArray[np.uint8], levels: NDArray[np.int16], rows: LineTaps, columns: LineTaps,
        spans: tuple[NDArray[np.int32], NDArray[np.int32]], packed: NDArray[np.uint8],
        room: LineRoom) -> None:
    """Fill ``packed`` with line work.

    Parameters
    ----------
    plane : NDArray of uint8, shape (plane rows, plane columns)
    levels : NDArray of int16, shape (256,)
        The level of each plane value: below zero is ink.
    rows, columns : LineTaps
        Where the film's rows and columns fall in the plane.
    spans : tuple of NDArray of int32, shapes (rows, S)
        Starts and ends of spans to keep; S = 0 keeps everything.
    packed : NDArray of uint8, shape (rows, ceil(columns / 8))
        The result, 1 = ink.
    room : LineRoom
        What `line_room` gives.
    """
    row_base, row_weights = rows
    column_base, column_weights = columns
    starts, ends = spans
    spread, held, all_levels, on, keep = room
    eight = on.view(np.uint64)
    last_plane_row = plane.shape[0] - 1
    for c0 in range(0, column_base.size, STRETCH):
        c1 = min(c0 + STRETCH, column_base.size)
        base = column_base[c0:c1]
        first = base[0]
        found = all_levels[:base[-1] - first + 2]
        weights = (column_weights[0, c0:c1], column_weights[1, c0:c1])
        held[0, :] = -1
        on[:] = 0
        for r in range(packed.shape[0]):
            out = packed[r, c0 >> 3:(c1 + 7) >> 3]
            within = kept(starts[r], ends[r], c0, c1)
            upper = min(row_base[r], last_plane_row)
            lower = min(row_base[r] + 1, last_plane_row)
            if within != NONE:
                for source in (upper, lower):
                    slot = source & 1
                    if held[0, slot] != source:
                        held[0, slot] = source
                        empty = _is_empty(plane[source], first, base[-1] + 2)
                        held[1, slot] = empty
                        if empty:
                            spread[slot, :] = levels[0]
                        else:
                            _levels_of(plane[source], levels, first, found)
                            _spread(found, first, base, weights, spread[slot, :c1 - c0])
            if within == NONE or held[1, upper & 1] & held[1, lower & 1]:
                out[:] = 0
                continue
            _compare(spread[upper & 1, :c1 - c0], spread[lower & 1, :c1 - c0],
                     (np.int32(row_weights[0, r]), np.int32(row_weights[1, r])), on)
            pack(eight, out)
            if within == PART:
                clear_outside(starts[r], ends[r], c0, out, keep[:out.size])
