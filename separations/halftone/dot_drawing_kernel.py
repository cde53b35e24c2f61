"""The compiled drawing of one dot that is as large as it should be, and where it should be."""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from separations.runtime.compiled_code import FLAGS

#: Ways in which one dot is rounded to whole pixels: the bits of a byte.
ROUNDINGS = 8
#: Pixels of the edge that are rounded together: at most so many, and at most so small a part of it.
_ARC, _ARC_PART = 4, 10
#: Places within a pixel at which its cover is counted, and the step that spreads them: two of
#: Fibonacci's numbers, so that along rows, columns and diagonals no two places coincide.
_PARTS, _PARTS_STEP = 89, 55
#: Irrational steps that fill an interval and a square evenly, whatever their number.
_STEP, _STEP_OF_TWO, _OTHER_STEP_OF_TWO = 0.6180339887498949, 0.7548776662466927, 0.5698402909980532

_compiled = njit(**FLAGS)


@_compiled
def _folded_height(u, v):  # type: ignore[no-untyped-def]
    """The folded spot at (u, v) periods from a dot."""
    return 1.0 - 2.0 * (abs(u - np.round(u)) + abs(v - np.round(v)))


@_compiled
def _turns(periods, turns):  # type: ignore[no-untyped-def]
    """Fill in cosines and sines of places told in periods, shape (2, n)."""
    for k in range(periods.size):
        turns[0, k] = math.cos(2 * math.pi * periods[k])
        turns[1, k] = math.sin(2 * math.pi * periods[k])


@_compiled
def _parts(cos, sin, period):  # type: ignore[no-untyped-def]
    """Places within a pixel (u, v from its middle) and the cosines and sines of their turns."""
    places, turns = np.empty((2, _PARTS)), np.empty((4, _PARTS))
    for k in range(_PARTS):
        down = (k + 0.5) / _PARTS - 0.5
        right = (_PARTS_STEP * (k + 0.5) / _PARTS) % 1.0 - 0.5
        places[0, k] = (-cos * down - sin * right) / period
        places[1, k] = (sin * down - cos * right) / period
    for axis in range(2):
        _turns(places[axis], turns[2 * axis:2 * axis + 2])
    return places, turns


@_compiled
def _folded_cover(u, v, level, parts):  # type: ignore[no-untyped-def]
    """The share of a pixel, its middle at (u, v), in which the folded spot exceeds the level."""
    places, inside = parts[0], 0
    for k in range(_PARTS):
        inside += _folded_height(u + places[0, k], v + places[1, k]) > level
    return inside / _PARTS


@_compiled
def _cosine_cover(waves, level, parts):  # type: ignore[no-untyped-def]
    """Likewise of the cosine spot, told by its weighted cosines and sines at the middle."""
    turns, inside = parts[1], 0
    cos_u, sin_u, cos_v, sin_v = waves
    for k in range(_PARTS):
        inside += (cos_u * turns[0, k] - sin_u * turns[1, k]
                   + cos_v * turns[2, k] - sin_v * turns[3, k]) > level
    return inside / _PARTS


@_compiled
def _round_edge(order, covers, heights, cells, carried, bit, drawing):  # type: ignore[no-untyped-def]
    """Ink the edge arc by arc: of each as many pixels as it covers, the highest first.

    What an arc was printed short of its cover is carried on to the next.
    """
    step = max(1, min(_ARC, order.size // _ARC_PART))
    for first in range(0, order.size, step):
        arc = order[first:first + step]
        for k in arc:
            carried += covers[k]
            drawing[cells[k]] &= ~bit
        inked = int(carried)
        carried -= inked
        for _ in range(inked):
            highest = -1
            for k in arc:
                if not drawing[cells[k]] & bit and (highest < 0 or heights[k] > heights[highest]):
                    highest = k
            drawing[cells[highest]] |= bit


@_compiled
def draw_dots(  # type: ignore[no-untyped-def]
        folded, weights, turn, level, hole, wanted, drawings):
    """Draw one level's dot (or hole) at places that differ by parts of a pixel.

    Pixels of the cell that lie wholly in the dot are inked, those outside it are not. The others,
    its edge, are rounded in the order in which they lie round it.

    Parameters
    ----------
    folded : bool
        Whether the spot is the folded one, else the cosine one with ``weights``, whose sum is 1.
    weights : tuple of float
        Of the waves along and across.
    turn : tuple of float
        Cosine and sine of the halftone's angle, film pixels a period.
    level : float
        −1 to 1.
    hole : bool
        Whether the middle is that of a hole.
    wanted : NDArray of bool, shape (finer, finer)
        At which places it is drawn.
    drawings : NDArray of uint8, shape (finer, finer, side, side)
        The result: bit k is the pixel in the k-th rounding, 1 = ink. The middle lies at
        ``side // 2`` and as many parts of a pixel as the first two indices say. What is not
        wanted is left alone.
    """
    finer, side = drawings.shape[1], drawings.shape[2]
    cos, sin, period = turn
    half = 0.5 if hole else 0.0
    lines = weights[0] == 0.0 and not folded
    parts = _parts(cos, sin, period)
    beyond = 2 * math.pi / period * 0.75
    angles, covers, heights = np.empty(side * side), np.empty(side * side), np.empty(side * side)
    cells = np.empty(side * side, np.int64)
    # Places (u, v) are sums of a part of the row and one of the column, the halves with the rows.
    rows, columns, steps = np.empty((2, side)), np.empty((2, side)), np.arange(side) + 0.5
    row_turns, column_turns = np.empty((4, side)), np.empty((4, side))
    for fine in np.flatnonzero(wanted):
        down = steps - (side // 2 + (fine // finer) / finer)
        right = steps - (side // 2 + (fine % finer) / finer)
        rows[0], rows[1] = half - cos * down / period, half + sin * down / period
        columns[0], columns[1] = -sin * right / period, -cos * right / period
        for axis in range(2):
            _turns(rows[axis], row_turns[2 * axis:2 * axis + 2])
            _turns(columns[axis], column_turns[2 * axis:2 * axis + 2])
        drawing = drawings[fine // finer, fine % finer].reshape(-1)
        count = 0
        for cell in range(side * side):
            r, c = cell // side, cell % side
            u, v = rows[0, r] + columns[0, c], rows[1, r] + columns[1, c]
            if folded:
                height = _folded_height(u, v)
            else:
                cos_u = weights[0] * (row_turns[0, r] * column_turns[0, c]
                                      - row_turns[1, r] * column_turns[1, c])
                cos_v = weights[1] * (row_turns[2, r] * column_turns[2, c]
                                      - row_turns[3, r] * column_turns[3, c])
                height = cos_u + cos_v
            drawing[cell] = 255 if height > level else 0
            if abs(height - level) > beyond or max(abs(u - half), abs(v - half)) > 0.5:
                continue
            if folded:
                cover = _folded_cover(u, v, level, parts)
            else:
                sin_u = weights[0] * (row_turns[1, r] * column_turns[0, c]
                                      + row_turns[0, r] * column_turns[1, c])
                sin_v = weights[1] * (row_turns[3, r] * column_turns[2, c]
                                      + row_turns[2, r] * column_turns[3, c])
                cover = _cosine_cover((cos_u, sin_u, cos_v, sin_v), level, parts)
            if cover == 0.0 or cover == 1.0:
                drawing[cell] = 255 if cover == 1.0 else 0
                continue
            cells[count], covers[count], heights[count] = cell, cover, height
            # A line's edges run along it, one there and the other back.
            u, v = u - half, v - half
            angles[count] = (-u if v >= 0.0 else 2.0 + u) if lines else math.atan2(v, u)
            count += 1
        order = np.argsort(angles[:count])
        for rounding in range(ROUNDINGS):
            number = fine * ROUNDINGS + rounding
            begin = int(number * _STEP_OF_TWO % 1.0 * count)
            turned = np.concatenate((order[begin:], order[:begin]))
            if number * _OTHER_STEP_OF_TWO % 1.0 < 0.5:
                turned = turned[::-1].copy()
            _round_edge(turned, covers, heights, cells,
                        (rounding + fine * _STEP % 1.0) / ROUNDINGS, np.uint8(1 << rounding),
                        drawing)
