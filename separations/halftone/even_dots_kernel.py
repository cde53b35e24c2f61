"""The compiled loops of even dots: finding flat cells, choosing drawings, laying them down."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from separations.halftone.cell_states_kernel import PlacedCells, mark
from separations.runtime.compiled_code import compiled_on_borrowed_arrays, inner_kernel

if TYPE_CHECKING:
    from separations.halftone.even_dots import EvenDots

Plane16 = NDArray[np.uint16]
Two = tuple[int, int]

_PLACE_BITS = np.int32(15)
_HALF_PLACE = np.int32(1 << 14)
_SOME_DOT, _SOME_HOLE = np.uint8(1), np.uint8(2)
_ROUNDING_BITS, _LAST_ROUNDING = np.int32(3), np.int32(7)
_CLEAR, _SOLID = 32767, -32767
#: No place in a table of drawings.
_NOWHERE = np.int32(-(1 << 31))
#: So many periods each way the tone is the same round a drawn dot. A photograph has a few cells
#: of one tone here and there, too few to beat, and is not searched for drawings of hundreds of
#: tones.
FLAT_PERIODS = 3.0
#: Steps that fill a square evenly, whatever their number.
_STEP_DOWN, _STEP_RIGHT = 0.7548776662466927, 0.5698402909980532


@inner_kernel
def _is_flat(plane: Plane16, rows: Two, columns: Two, tone: int) -> bool:
    """Whether a window of the plane, its edge repeated outwards, has one tone."""
    last_row, last_column = plane.shape[0] - 1, plane.shape[1] - 1
    r0, r1 = min(max(rows[0], 0), last_row), min(max(rows[1], 0), last_row)
    c0, c1 = min(max(columns[0], 0), last_column), min(max(columns[1], 0), last_column)
    if plane[r0, c0] != tone or plane[r1, c1] != tone:
        return False
    for r in range(r0, r1 + 1):
        same = True
        for c in range(c0, c1 + 1):
            same &= plane[r, c] == tone
        if not same:
            return False
    return True


@compiled_on_borrowed_arrays
def find_flat_blocks(plane: Plane16, tones: Two, block: int, blocks: NDArray[np.bool_]) -> int:
    """Mark the square blocks of a plane that have one tone from the first to the last; how many.

    Parameters
    ----------
    plane : NDArray of uint16, shape (plane rows, plane columns)
    tones : tuple of int
        First and last tone that count.
    block : int
        Side of a block (plane pixels); those at the lower and right rim are smaller.
    blocks : NDArray of bool, shape (block rows, block columns)
        Set where flat.
    """
    count = 0
    for across in range(blocks.shape[0]):
        for along in range(blocks.shape[1]):
            r, c = across * block, along * block
            tone = plane[r, c]
            if tones[0] <= tone <= tones[1] and _is_flat(
                    plane, (r, r + block - 1), (c, c + block - 1), tone):
                blocks[across, along] = True
                count += 1
    return count


@compiled_on_borrowed_arrays
def flat_levels(
        plane: Plane16,
        flat_blocks: tuple[NDArray[np.bool_], NDArray[np.int64], NDArray[np.int64]],
        levels: NDArray[np.int16], tones: Two, placed: PlacedCells, found: NDArray[np.int16],
        marks: NDArray[np.uint8]) -> None:
    """Find the cells within and round which the tone is the same everywhere.

    Parameters
    ----------
    plane : NDArray of uint16, shape (plane rows, plane columns)
    flat_blocks : tuple
        What `find_flat_blocks` found, in blocks of no more than `FLAT_PERIODS`; and the block rows
        of plane rows and the block columns of plane columns, NDArray of int64.
    levels : NDArray of int16, shape (65536,)
        The level of each tone.
    tones : tuple of int
        First and last tone to take; others keep the dots they have.
    placed : PlacedCells
    found : NDArray of int16, shape (2, cells across, cells along)
        The level of flat dots' cells (0) and flat holes' cells (1); the rest is left alone.
    marks : NDArray of uint8, shape (block rows, block columns)
        Bits are added where a dot (1) or a hole (2) is flat.
    """
    steps, scale, offset, film = placed
    reach = film[2] * 0.75 + 2.0
    far = film[2] * FLAT_PERIODS + 2.0
    high, wide = far * scale[0] + 2.0, far * scale[1] + 2.0
    last_row, last_column = plane.shape[0] - 1, plane.shape[1] - 1
    blocks, row_blocks, column_blocks = flat_blocks
    for half in range(2):
        for across in range(found.shape[1]):
            for along in range(found.shape[2]):
                u, v = along + 0.5 * half, across + 0.5 * half
                row = steps[0, 0] + u * steps[1, 0] + v * steps[2, 0]
                column = steps[0, 1] + u * steps[1, 1] + v * steps[2, 1]
                if (row < -reach or column < -reach
                        or row > film[0] + reach or column > film[1] + reach):
                    continue
                r, c = row * scale[0] + offset[0], column * scale[1] + offset[1]
                middle = min(max(int(r), 0), last_row), min(max(int(c), 0), last_column)
                if not blocks[row_blocks[middle[0]], column_blocks[middle[1]]]:
                    continue
                tone = plane[middle]
                level = levels[tone]
                if (tone < tones[0] or tone > tones[1] or not _SOLID < level < _CLEAR
                        or (level <= 0) != (half == 1)):
                    continue
                if _is_flat(plane, (math.floor(r - high), math.floor(r + high)),
                            (math.floor(c - wide), math.floor(c + wide)), tone):
                    found[half, across, along] = level
                    mark(marks, row, column, reach, _SOME_HOLE if half else _SOME_DOT)


@compiled_on_borrowed_arrays
def lay_places(
        found: NDArray[np.int16], level_numbers: NDArray[np.int32],
        thresholds: NDArray[np.float32], steps: NDArray[np.float64], side: int, finer: int,
        offsets: NDArray[np.int32], used: NDArray[np.bool_]) -> None:
    """Choose the drawing of each flat cell: by its place, and by its turn where it lies between.

    Parameters
    ----------
    found : NDArray of int16, shape (2, cells across, cells along)
        Levels; that of clear film where a cell is not flat.
    level_numbers : NDArray of int32, shape (65536,)
        Which set of drawings a level (as uint16) has, −1 for none.
    thresholds : NDArray of float32, shape (n, n)
        A tile of blue noise above 0 and below 1; that of cell (0, 0) first.
    steps : NDArray of float64, shape (3, 2)
        As in `PlacedCells`.
    side, finer : int
        Pixels along a drawing; drawings along a pixel.
    offsets : NDArray of int32, shape (2, cells across, cells along)
        Eight times the place, in the table of drawings, that film pixel (0, 0) would have if the
        cell's drawing went that far, plus the number of its rounding. Not flat: left alone.
    used : NDArray of bool, shape (levels, finer, finer)
        Set for each drawing that some cell has.
    """
    tile = thresholds.shape[0]
    for half in range(2):
        for across in range(found.shape[1]):
            for along in range(found.shape[2]):
                level = found[half, across, along]
                if level == _CLEAR or level_numbers[np.uint16(level)] < 0:
                    continue
                threshold = np.float64(thresholds[across % tile, along % tile])
                rank = threshold * tile * tile
                u, v = along + 0.5 * half, across + 0.5 * half
                row = math.floor(
                    (steps[0, 0] + u * steps[1, 0] + v * steps[2, 0]) * finer
                    + rank * _STEP_DOWN % 1.0)
                column = math.floor(
                    (steps[0, 1] + u * steps[1, 1] + v * steps[2, 1]) * finer
                    + rank * _STEP_RIGHT % 1.0)
                number = level_numbers[np.uint16(level)]
                used[number, row % finer, column % finer] = True
                drawing = (number * finer + row % finer) * finer + column % finer
                top, left = row // finer - side // 2, column // finer - side // 2
                offsets[half, across, along] = (
                    ((drawing * side - top) * side - left) * (_LAST_ROUNDING + 1)
                    + int(threshold * (_LAST_ROUNDING + 1)))


@inner_kernel
def _lay_drawings(even: EvenDots, half: int, corner: Two, cell: NDArray[np.int32],
                  turns: NDArray[np.uint8], on: NDArray[np.uint8]) -> int:
    """Lay the drawn dots (half 0) or holes (half 1) over a stretch of one film row.

    Parameters
    ----------
    even : EvenDots
    half : int
    corner : tuple of int
        Film row, first film column.
    cell : NDArray of int32
        Room for one number a pixel.
    turns : NDArray of uint8
        Room for one byte a pixel of a whole stretch.
    on : NDArray of uint8
        The stretch, one byte a pixel: changed where cells are flat.

    Returns
    -------
    int
        How many pixels were laid.
    """
    row, first_column = corner
    along = even.column_places[0, first_column:first_column + on.size]
    across = even.column_places[1, first_column:first_column + on.size]
    u_row, v_row = even.row_places[row, 0], even.row_places[row, 1]
    offsets, drawings = even.offsets[half], even.drawings
    width, side = np.int32(even.width), np.int32(even.side)
    nearest = np.int32(0) if half else _HALF_PLACE
    for j in range(on.size):
        u = np.int32(along[j] + u_row + nearest) >> _PLACE_BITS
        v = np.int32(across[j] + v_row + nearest) >> _PLACE_BITS
        cell[j] = np.int32(v * width + u)
    for j in range(1, on.size):
        turns[j] = np.uint8(cell[j] != cell[j - 1])
    turns[0] = 0
    turns[on.size:] = 0
    eight = turns.view(np.uint64)
    laid = first = 0
    for k in range(eight.size + 1):
        last = k == eight.size
        if not last and eight[k] == 0:
            continue
        for j in range(on.size if last else 8 * k, on.size + 1 if last else 8 * k + 8):
            if not last and not turns[j]:
                continue
            offset = offsets[np.uint32(cell[first])]
            if offset != _NOWHERE:
                start = np.int64(offset >> _ROUNDING_BITS) + row * side + first_column
                bit = np.uint8(1) << np.uint8(offset & _LAST_ROUNDING)
                for i in range(first, j):
                    on[i] = np.uint8(drawings[np.uint64(start + i)] & bit != 0)
                laid += j - first
            first = j
    return laid


@inner_kernel
def lay_dots_and_holes(even: EvenDots, met: np.uint8, row: int, first_column: int,
                       cell: NDArray[np.int32], turned: NDArray[np.uint8],
                       on: NDArray[np.uint8]) -> int:
    """Lay drawn dots, then drawn holes, where a stretch may meet some; how many pixels."""
    laid = 0
    for half in range(2):
        if met & np.uint8(1 << half):
            laid += _lay_drawings(even, half, (row, first_column), cell, turned, on)
    return laid
