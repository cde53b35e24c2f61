"""The compiled labelling of a bitmap's parts, run by run."""

from __future__ import annotations

from numba import njit

from separations.compiled_code import LENT_FLAGS

_compiled = njit(**LENT_FLAGS)


@_compiled
def _root(parents, run):  # type: ignore[no-untyped-def]
    while parents[run] != run:
        parents[run] = parents[parents[run]]
        run = parents[run]
    return run


@_compiled
def label_runs(bits, beside, runs, parents):  # type: ignore[no-untyped-def]
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


@_compiled
def part_boxes(runs, parents, boxes):  # type: ignore[no-untyped-def]
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
