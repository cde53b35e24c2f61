"""The compiled loops of fades: deciding cells, and comparing where some have gone flat."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from separations.halftone.upsampling import tone_at
from separations.runtime.compiled_code import compiled_on_borrowed_arrays, inner_kernel

if TYPE_CHECKING:
    from separations.halftone.cell_states import CellStates

_BLOCK_BITS = 6
_PLACE_BITS = np.int32(15)
_HALF_PLACE = np.int32(1 << 14)
_DOT, _HOLE = np.uint8(1), np.uint8(2)
_INSIDE = np.uint8(4)
_GONE, _SOME_DOT, _SOME_HOLE = np.uint8(1), np.uint8(2), np.uint8(4)
_SOME_INSIDE, _SOME_OUTSIDE = np.uint8(8), np.uint8(16)

Plane16 = NDArray[np.uint16]
Spans = tuple[NDArray[np.int32], NDArray[np.int32]]
Pair = tuple[float, float]


class PlacedCells(NamedTuple):
    """Where the cells of a film lie, on it and in the plane of its tones.

    Attributes
    ----------
    steps : NDArray of float64, shape (3, 2)
        Film (row, column) of cell (0, 0)'s dot, and what one cell along and across adds.
    scale : tuple of float
        Plane rows a film row, plane columns a film column.
    offset : tuple of float
        Plane (row, column) of the film's upper left corner.
    film : tuple
        Film rows, film columns, film pixels a period.
    """

    steps: NDArray[np.float64]
    scale: Pair
    offset: Pair
    film: tuple[int, int, float]


@inner_kernel
def _mean_tone(plane: Plane16, placed: PlacedCells, row: float, column: float) -> float:
    """Mean of four tones half a period apart round a place of the film."""
    steps, scale, offset = placed.steps, placed.scale, placed.offset
    total = 0.0
    for k in range(4):
        along, across = (k & 1) * 0.5 - 0.25, (k >> 1) * 0.5 - 0.25
        total += tone_at(
            plane, (row + along * steps[1, 0] + across * steps[2, 0]) * scale[0] + offset[0],
            (column + along * steps[1, 1] + across * steps[2, 1]) * scale[1] + offset[1])
    return total / 4.0


@compiled_on_borrowed_arrays
def tone_ranges(plane: Plane16, block: int, room: Plane16, lows: Plane16, highs: Plane16) -> None:
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


@inner_kernel
def is_inside(spans: Spans, row: float, column: float) -> bool:
    """Whether a place of the film (row, column; pixel centres at halves) lies in its spans."""
    starts, ends = spans
    r, c = int(np.floor(row)), int(np.floor(column))
    if r < 0 or r >= starts.shape[0]:
        return False
    found = False
    for s in range(starts.shape[1]):
        found |= starts[r, s] <= c < ends[r, s]
    return found


@inner_kernel
def mark(marks: NDArray[np.uint8], row: float, column: float, reach: float,
         what: np.uint8) -> None:
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


@compiled_on_borrowed_arrays
def decide_cells(
        plane: Plane16, thresholds: NDArray[np.float32], placed: PlacedCells, smallest: Pair,
        spans: Spans, sure: tuple[NDArray[np.bool_], NDArray[np.int64], NDArray[np.int64]],
        cells: NDArray[np.uint8], marks: NDArray[np.uint8]) -> None:
    """Fill in which dots and holes stay.

    Parameters
    ----------
    plane : NDArray of uint16, shape (plane rows, plane columns)
    thresholds : NDArray of float32, shape (n, n)
        That of cell (0, 0) first; the tile repeats.
    placed : PlacedCells
    smallest : tuple of float
        Tone of the smallest dot and of the smallest hole (65535 = all of a cell).
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
    steps, scale, offset, film = placed
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
                    tone = _mean_tone(plane, placed, row, column)
                    if half == 0:
                        gone = tone <= threshold * smallest[0]
                    else:
                        gone = 65535.0 - tone <= threshold * smallest[1]
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


@inner_kernel
def marks_between(marks: NDArray[np.uint8], row: int, first_column: int,
                  end_column: int) -> np.uint8:
    """What the blocks met by a stretch of one film row may hold."""
    found = np.uint8(0)
    for block in range(first_column >> _BLOCK_BITS, ((end_column - 1) >> _BLOCK_BITS) + 1):
        found |= marks[row >> _BLOCK_BITS, block]
    return found


@inner_kernel
def compare_thinned(
        spot: NDArray[np.float32], rows: tuple[NDArray[np.int16], ...], w: tuple[np.int32, ...],
        limits: tuple[np.int32, np.int32], states: CellStates, place: tuple[int, int],
        number: NDArray[np.int32], on: NDArray[np.uint8]) -> None:
    """Where the spot, flat in cells whose dot or hole has gone, exceeds the level.

    Levels are held between ``limits``, so that a dot that stays is never under the smallest.
    ``place`` is the film row and the stretch's first column; ``number`` is room for one number a
    pixel.
    """
    above, first, second, below = rows
    w0, w1, w2, w3 = w
    low, high = limits
    row, c0 = place
    cells, width = states.cells.reshape(-1), np.int32(states.cells.shape[1])
    along = states.column_places[0, c0:c0 + first.size]
    across = states.column_places[1, c0:c0 + first.size]
    u_row, v_row = states.row_places[row, 0], states.row_places[row, 1]
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


@inner_kernel
def clear_outside_cells(states: CellStates, row: int, first_column: int,
                        on: NDArray[np.uint8]) -> None:
    """Clear the pixels of a stretch whose cells' dots have their middles outside."""
    cells, width = states.cells.reshape(-1), np.int32(states.cells.shape[1])
    along = states.column_places[0, first_column:first_column + on.size]
    across = states.column_places[1, first_column:first_column + on.size]
    u_row, v_row = states.row_places[row, 0], states.row_places[row, 1]
    for j in range(along.size):
        u = np.int32(along[j] + u_row + _HALF_PLACE) >> _PLACE_BITS
        v = np.int32(across[j] + v_row + _HALF_PLACE) >> _PLACE_BITS
        on[j] &= (cells[np.uint32(v * width + u)] & _INSIDE) >> np.uint8(2)
