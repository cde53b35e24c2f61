"""The compiled choice of those places on a letter's spine that are its strokes."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from separations.runtime.compiled_code import compiled_on_borrowed_arrays, inner_kernel

#: The greatest distance whose square, twice over, 16 bits hold with ease.
MOST_DISTANCE = 127

Bits = NDArray[np.bool_]
Squares = NDArray[np.uint16]
Numbers = NDArray[np.int32]
Places = NDArray[np.int64]


@compiled_on_borrowed_arrays
def squares_to_edge(part: Bits, most: int, along_rows: Squares, squares: Squares) -> None:
    """Squared distance of each pixel of a part to the nearest pixel that is not in it.

    Distances are exact up to ``most``, which stands for all greater ones; what lies past the rim
    counts neither way.

    Parameters
    ----------
    part : NDArray of bool, shape (rows, columns)
    most : int
        At most `MOST_DISTANCE`.
    along_rows : NDArray of uint16, shape (columns + 2 most,)
        To work in.
    squares : NDArray of uint16, shape (rows, columns)
        The result; 0 outside the part.
    """
    rows, columns = part.shape
    one, limit = np.uint16(1), np.uint16(most)
    farthest = np.uint16(most * most)
    # First the distance along each column, which then is one of the two sides.
    squares[0, :] = limit
    for r in range(rows):
        row, above, here = squares[r], squares[max(r - 1, 0)], part[r]
        for c in range(columns):
            row[c] = np.uint16(min(np.uint16(above[c] + one), limit) * np.uint16(here[c]))
    for r in range(rows - 2, -1, -1):
        row, below = squares[r], squares[r + 1]
        for c in range(columns):
            row[c] = min(row[c], np.uint16(below[c] + one))
    along_rows[:] = farthest
    for r in range(rows):
        row = squares[r]
        for c in range(columns):
            along_rows[most + c] = np.uint16(row[c] * row[c])
            row[c] = farthest
        for aside in range(-most + 1, most):
            square = np.uint16(aside * aside)
            beside = along_rows[most + aside:most + aside + columns]
            for c in range(columns):
                row[c] = min(row[c], np.uint16(beside[c] + square))


@inner_kernel
def _root(parents: Numbers, run: int) -> int:
    while parents[run] != run:
        parents[run] = parents[parents[run]]
        run = parents[run]
    return run


@compiled_on_borrowed_arrays
def label_runs(bits: Bits, beside: int, runs: Numbers, parents: Numbers) -> int:
    """Find the runs of a bitmap's rows and which of them hang together; how many there are.

    Parameters
    ----------
    bits : NDArray of bool, shape (rows, columns)
        What is looked for.
    beside : int
        1 where parts that touch at corners hang together, else 0.
    runs : NDArray of int32, shape (most, 3)
        The result, row by row: row, first column and column just past each run. There may be half
        as many a row as it has columns, and one.
    parents : NDArray of int32, shape (most,)
        The result: an earlier run of the same part, or the run itself where it is the first.
    """
    count = above = above_end = 0
    for r in range(bits.shape[0]):
        row = bits[r]
        begin, near = count, above
        c = 0
        while True:
            while c < row.size and not row[c]:
                c += 1
            if c == row.size:
                break
            start = c
            while c < row.size and row[c]:
                c += 1
            runs[count, 0], runs[count, 1], runs[count, 2] = r, start, c
            parents[count] = count
            while near < above_end and runs[near, 2] + beside <= start:
                near += 1
            k = near
            while k < above_end and runs[k, 1] < c + beside:
                one, other = _root(parents, k), _root(parents, count)
                parents[max(one, other)] = min(one, other)
                k += 1
            count += 1
        above, above_end = begin, count
    return count


@compiled_on_borrowed_arrays
def part_boxes(runs: Numbers, parents: Numbers, boxes: Numbers) -> int:
    """Sizes of the parts that runs make up; how many there are.

    Parameters
    ----------
    runs : NDArray of int32, shape (N, 3)
        Of `label_runs`.
    parents : NDArray of int32, shape (N,)
        Likewise; becomes the number of each run's part.
    boxes : NDArray of int32, shape (N, 5)
        The result, in the order in which parts begin: first and end row, first and end column,
        and pixels.
    """
    count = 0
    for k in range(parents.size):
        row, start, end = runs[k, 0], runs[k, 1], runs[k, 2]
        if parents[k] == k:
            part = count
            count += 1
            boxes[part, 0], boxes[part, 1], boxes[part, 2], boxes[part, 3] = row, row, start, end
            boxes[part, 4] = 0
        else:
            part = parents[parents[k]]
        parents[k] = part
        boxes[part, 1] = row + 1
        boxes[part, 2] = min(boxes[part, 2], start)
        boxes[part, 3] = max(boxes[part, 3], end)
        boxes[part, 4] += end - start
    return count


@compiled_on_borrowed_arrays
def on_strokes(
    away: NDArray[np.float32], rows: Places, columns: Places, reach: float, as_wide: float,
    chosen: Bits,
) -> None:
    """Say which places have nothing much wider near them.

    Parameters
    ----------
    away : NDArray of float32, shape (image rows, image columns)
        Half the width at each pixel.
    rows, columns : NDArray of int64, shape (N,)
        The places.
    reach, as_wide : float
        Within so many half widths nothing may be wider, unless a place has so much of its width.
    chosen : NDArray of bool, shape (N,)
        The result.
    """
    for n in range(chosen.size):
        row, column = rows[n], columns[n]
        half = np.float64(away[row, column])
        near = math.ceil(reach * half)
        most = np.float32(0.0)
        for r in range(max(row - near, 0), min(row + near + 1, away.shape[0])):
            for c in range(max(column - near, 0), min(column + near + 1, away.shape[1])):
                most = max(most, away[r, c])
        chosen[n] = half >= as_wide * most
