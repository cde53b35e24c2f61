"""The compiled loops of fades: deciding cells, and comparing where some have gone flat."""

from __future__ import annotations

import numpy as np
from numba import njit

from separations.halftone.upsampling import tone_at
from separations.runtime.compiled_code import NO_ALLOCATION_FLAGS

_BLOCK_BITS = 6
_PLACE_BITS = np.int32(15)
_HALF_PLACE = np.int32(1 << 14)
_DOT, _HOLE = np.uint8(1), np.uint8(2)
_INSIDE = np.uint8(4)
_GONE, _SOME_DOT, _SOME_HOLE = np.uint8(1), np.uint8(2), np.uint8(4)
_SOME_INSIDE, _SOME_OUTSIDE = np.uint8(8), np.uint8(16)

_compiled = njit(**NO_ALLOCATION_FLAGS)


@_compiled
def _mean_tone(plane, steps, scale, offset, row, column):  # type: ignore[no-untyped-def]
    """Mean of four tones half a period apart round a place of the film."""
    total = 0.0
    for k in range(4):
        along, across = (k & 1) * 0.5 - 0.25, (k >> 1) * 0.5 - 0.25
        total += tone_at(
            plane, (row + along * steps[1, 0] + across * steps[2, 0]) * scale[0] + offset[0],
            (column + along * steps[1, 1] + across * steps[2, 1]) * scale[1] + offset[1])
    return total / 4.0


@_compiled
def tone_ranges(plane, block, room, lows, highs):  # type: ignore[no-untyped-def]
    """The least and the greatest tone of each square block of a plane.

    Parameters
    ----------
    plane : NDArray of uint16, shape (plane rows, plane columns)
    block : int
        Side of a block (plane pixels); those at the lower and right rim are smaller.
    room : NDArray of uint16, shape (2, plane columns)
        To work in.
    lows, highs : NDArray of uint16, shape (block rows, block columns)
        The result.
    """
    least, most = room[0], room[1]
    for r in range(lows.shape[0]):
        least[:] = 65535
        most[:] = 0
        for row in range(r * block, min((r + 1) * block, plane.shape[0])):
            tones = plane[row]
            for c in range(tones.size):
                least[c] = min(least[c], tones[c])
                most[c] = max(most[c], tones[c])
        for k in range(lows.shape[1]):
            low, high = least[k * block], most[k * block]
            for c in range(k * block + 1, min((k + 1) * block, plane.shape[1])):
                low = min(low, least[c])
                high = max(high, most[c])
            lows[r, k], highs[r, k] = low, high


@_compiled
def is_inside(spans, row, column):  # type: ignore[no-untyped-def]
    """Whether a place of the film (row, column; pixel centres at halves) lies in its spans."""
    starts, ends = spans
    r, c = int(np.floor(row)), int(np.floor(column))
    if r < 0 or r >= starts.shape[0]:
        return False
    found = False
    for s in range(starts.shape[1]):
        found |= starts[r, s] <= c < ends[r, s]
    return found


@_compiled
def mark(marks, row, column, reach, what):  # type: ignore[no-untyped-def]
    """Add to the blocks of 64 × 64 film pixels within reach of a place."""
    top = max(int(row - reach) >> _BLOCK_BITS, 0)
    left = max(int(column - reach) >> _BLOCK_BITS, 0)
    bottom = min(int(row + reach) >> _BLOCK_BITS, marks.shape[0] - 1)
    right = min(int(column + reach) >> _BLOCK_BITS, marks.shape[1] - 1)
    # As a rule there are four at most, and a dot nearby has marked them.
    if (0 <= bottom - top <= 1 and 0 <= right - left <= 1
            and what & marks[top, left] & marks[top, right]
            & marks[bottom, left] & marks[bottom, right] == what):
        return
    for r in range(top, bottom + 1):
        for c in range(left, right + 1):
            marks[r, c] |= what


@_compiled
def decide_cells(  # type: ignore[no-untyped-def]  # noqa: PLR0913
        plane, thresholds, steps, scale, offset, smallest, smallest_hole, film, spans, sure,
        cells, marks):
    """Fill in which dots and holes stay.

    Parameters
    ----------
    plane : NDArray of uint16, shape (plane rows, plane columns)
    thresholds : NDArray of float32, shape (n, n)
        That of cell (0, 0) first; the tile repeats.
    steps : NDArray of float64, shape (3, 2)
        Film (row, column) of cell (0, 0)'s dot, and what one cell along and across adds.
    scale : tuple of float
        Plane rows a film row, plane columns a film column.
    offset : tuple of float
        Plane (row, column) of the film's upper left corner.
    smallest, smallest_hole : float
        Tone of the smallest dot and of the smallest hole (65535 = all of a cell).
    film : tuple
        Film rows, film columns, film pixels a period.
    spans : tuple of NDArray of int32, shapes (film rows, S)
        Starts and ends of what is inside, row by row; S = 0 for everything.
    sure : tuple
        For dots and for holes, NDArray of bool, shape (2, block rows, block columns): whether none
        of a block of plane pixels can have gone; and the block rows of plane rows and the block
        columns of plane columns, NDArray of int64.
    cells : NDArray of uint8, shape (cells across, cells along)
        Bits are taken away where a dot (1) or a hole (2) has gone, or a dot is outside (4).
    marks : NDArray of uint8, shape (block rows, block columns)
        Bits are added.
    """
    side = thresholds.shape[0]
    reach = film[2] * 0.75 + 2.0
    last_row, last_column = plane.shape[0] - 1, plane.shape[1] - 1
    none_gone, row_blocks, column_blocks = sure
    for across in range(cells.shape[0]):
        for along in range(cells.shape[1]):
            for half in range(2):
                u, v = along + 0.5 * half, across + 0.5 * half
                row = steps[0, 0] + u * steps[1, 0] + v * steps[2, 0]
                column = steps[0, 1] + u * steps[1, 1] + v * steps[2, 1]
                if (row < -reach or column < -reach
                        or row > film[0] + reach or column > film[1] + reach):
                    continue
                down = row_blocks[min(max(int(row * scale[0] + offset[0]), 0), last_row)]
                right = column_blocks[
                    min(max(int(column * scale[1] + offset[1]), 0), last_column)]
                gone = False
                if not none_gone[half, down, right]:
                    threshold = thresholds[across % side, along % side]
                    tone = _mean_tone(plane, steps, scale, offset, row, column)
                    if half == 0:
                        gone = tone <= threshold * smallest
                    else:
                        gone = 65535.0 - tone <= threshold * smallest_hole
                if half == 0 and spans[0].shape[1] > 0:
                    if is_inside(spans, row, column):
                        mark(marks, row, column, reach, _SOME_INSIDE)
                    else:
                        cells[across, along] &= _DOT | _HOLE
                        mark(marks, row, column, reach, _SOME_OUTSIDE)
                if gone:
                    cells[across, along] &= _INSIDE | (_DOT if half else _HOLE)
                    mark(marks, row, column, reach, _GONE)
                else:
                    mark(marks, row, column, reach, _SOME_HOLE if half else _SOME_DOT)


@_compiled
def marks_between(marks, row, first_column, end_column):  # type: ignore[no-untyped-def]
    """What the blocks met by a stretch of one film row may hold."""
    found = np.uint8(0)
    for block in range(first_column >> _BLOCK_BITS, ((end_column - 1) >> _BLOCK_BITS) + 1):
        found |= marks[row >> _BLOCK_BITS, block]
    return found


@_compiled
def compare_thinned(  # type: ignore[no-untyped-def]  # noqa: PLR0913
        spot, rows, w, limits, cells, width, places, place, number, on):
    """Where the spot, flat in cells whose dot or hole has gone, exceeds the level.

    Levels are held between ``limits``, so that a dot that stays is never under the smallest.
    ``cells`` are flat, ``width`` cells a row; ``number`` is room for one number a pixel.
    """
    above, first, second, below = rows
    w0, w1, w2, w3 = w
    along, across = places
    u_row, v_row = place
    low, high = limits
    for j in range(first.size):
        nearest = _HALF_PLACE if spot[j] > np.float32(0.0) else np.int32(0)
        u = np.int32(along[j] + u_row + nearest) >> _PLACE_BITS
        v = np.int32(across[j] + v_row + nearest) >> _PLACE_BITS
        number[j] = np.int32(v * width + u)
    for j in range(first.size):
        on[j] = cells[np.uint32(number[j])]
    for j in range(first.size):
        level = (w0 * np.int32(above[j]) + w1 * np.int32(first[j])
                 + w2 * np.int32(second[j]) + w3 * np.int32(below[j]))
        level = min(max(np.int32(level), low), high)
        kind = np.uint8(1) if spot[j] > np.float32(0.0) else np.uint8(2)
        height = spot[j] if on[j] & kind else np.float32(0.0)
        on[j] = np.uint8(height > np.float32(np.int32(level)))


@_compiled
def clear_outside_cells(cells, width, places, place, on):  # type: ignore[no-untyped-def]
    """Clear the pixels of cells whose dot's middle lies outside."""
    along, across = places
    u_row, v_row = place
    for j in range(along.size):
        u = np.int32(along[j] + u_row + _HALF_PLACE) >> _PLACE_BITS
        v = np.int32(across[j] + v_row + _HALF_PLACE) >> _PLACE_BITS
        on[j] &= (cells[np.uint32(v * width + u)] & _INSIDE) >> np.uint8(2)
