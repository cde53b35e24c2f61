"""The compiled drawing of one dot that is as large as it should be, and where it should be."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from separations.halftone.film_spot import FOLDS, RANKS
from separations.halftone.spot_levels import SPOT_SCALE
from separations.runtime.compiled_code import compiled, inner_kernel

if TYPE_CHECKING:
    from separations.halftone.film_spot import DrawnSpot

#: Ways in which one dot is rounded to whole pixels: the bits of a byte.
ROUNDINGS = 8
#: Pixels of the edge that are rounded together: at most so many, and at most so small a part of it.
_ARC, _ARC_PART = 4, 10
#: Places within a pixel at which its cover is counted, and the step that spreads them: two of
#: Fibonacci's numbers, so that along rows, columns and diagonals no two places coincide.
_PARTS, _PARTS_STEP = 89, 55
#: Irrational steps that fill an interval and a square evenly, whatever their number.
_STEP, _STEP_OF_TWO, _OTHER_STEP_OF_TWO = 0.6180339887498949, 0.7548776662466927, 0.5698402909980532

Floats = NDArray[np.float64]


class PixelParts(NamedTuple):
    """Places within a pixel, (u, v) from its middle, and the cosines and sines of their turns."""

    places: Floats
    turns: Floats


class Edge(NamedTuple):
    """Pixels on a dot's edge: which of the drawing's they are, their cover and their height."""

    cells: NDArray[np.int64]
    covers: Floats
    heights: Floats


@inner_kernel
def _folded_height(u: float, v: float) -> float:
    """The folded spot at (u, v) periods from a dot."""
    return float(1.0 - 2.0 * (abs(u - np.round(u)) + abs(v - np.round(v))))


@inner_kernel
def _at(table: NDArray[np.int16], u: float, v: float) -> int:
    """What a table of one cell has at (u, v) periods."""
    last = table.shape[0] - 1
    return int(table[math.floor(u * table.shape[0]) & last, math.floor(v * table.shape[0]) & last])


@inner_kernel
def _turns(periods: Floats, turns: Floats) -> None:
    """Fill in cosines and sines of places told in periods, shape (n, 2)."""
    for k in range(periods.size):
        turns[k, 0] = math.cos(2 * math.pi * periods[k])
        turns[k, 1] = math.sin(2 * math.pi * periods[k])


@inner_kernel
def _lay_parts(cos: float, sin: float, period: float, parts: PixelParts) -> None:
    """Places within a pixel of a halftone turned so, of so many pixels a period."""
    places, turns = parts.places, parts.turns
    for k in range(_PARTS):
        down = (k + 0.5) / _PARTS - 0.5
        right = (_PARTS_STEP * (k + 0.5) / _PARTS) % 1.0 - 0.5
        places[0, k] = (-cos * down - sin * right) / period
        places[1, k] = (sin * down - cos * right) / period
    for axis in range(2):
        _turns(places[axis], turns[:, 2 * axis:2 * axis + 2])


@inner_kernel
def _folded_cover(u: float, v: float, level: float, parts: PixelParts) -> float:
    """The share of a pixel, its middle at (u, v), in which the folded spot exceeds the level."""
    places, inside = parts.places, 0
    for k in range(_PARTS):
        inside += _folded_height(u + places[0, k], v + places[1, k]) > level
    return inside / _PARTS


@inner_kernel
def _ranked_cover(u: float, v: float, level: float, parts: PixelParts,
                  ranks: NDArray[np.int16]) -> float:
    """Likewise of a ranked spot; the level is one of the ranks."""
    places, inside = parts.places, 0
    for k in range(_PARTS):
        inside += _at(ranks, u + places[0, k], v + places[1, k]) > level
    return inside / _PARTS


@inner_kernel
def _cosine_cover(waves: tuple[float, float, float, float], level: float,
                  parts: PixelParts) -> float:
    """Likewise of the cosine spot, told by its weighted cosines and sines at the middle."""
    turns, inside = parts.turns, 0
    cos_u, sin_u, cos_v, sin_v = waves
    for k in range(_PARTS):
        inside += (cos_u * turns[k, 0] - sin_u * turns[k, 1]
                   + cos_v * turns[k, 2] - sin_v * turns[k, 3]) > level
    return inside / _PARTS


@inner_kernel
def _round_edge(order: NDArray[np.int64], edge: Edge, carried: float, bit: np.uint8,
                drawing: NDArray[np.uint8]) -> None:
    """Ink the edge arc by arc: of each as many pixels as it covers, the highest first.

    What an arc was printed short of its cover is carried on to the next.
    """
    cells, covers, heights = edge
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


@inner_kernel
def _cosines(spot: DrawnSpot, row: Floats, column: Floats) -> tuple[float, float]:
    """The two weighed cosines where a row and a column meet, by the cosines and sines of each."""
    return (spot.weights[0] * (row[0] * column[0] - row[1] * column[1]),
            spot.weights[1] * (row[2] * column[2] - row[3] * column[3]))


@inner_kernel
def _height(spot: DrawnSpot, place: tuple[float, float], row: Floats, column: Floats) -> float:
    """The spot (−1 to 1) at a place (u, v) in periods, where a row and a column meet."""
    if spot.form == RANKS:
        return _at(spot.ranks, *place) / SPOT_SCALE
    if spot.form == FOLDS:
        return _folded_height(*place)
    cos_u, cos_v = _cosines(spot, row, column)
    return cos_u + cos_v


@inner_kernel
def _is_off_edge(spot: DrawnSpot, place: tuple[float, float], height: float, level: float,
                 period: float) -> bool:
    """Whether a pixel certainly lies wholly in the dot, or wholly outside it."""
    if spot.form == RANKS:
        level *= SPOT_SCALE
        return _at(spot.lows, *place) > level or _at(spot.highs, *place) <= level
    return abs(height - level) > 2 * math.pi / period * 0.75


@inner_kernel
def _cover(spot: DrawnSpot, place: tuple[float, float], row: Floats, column: Floats,
           level: float, parts: PixelParts) -> float:
    """The share of a pixel that the dot covers."""
    if spot.form == RANKS:
        return _ranked_cover(place[0], place[1], level * SPOT_SCALE, parts, spot.ranks)
    if spot.form == FOLDS:
        return _folded_cover(place[0], place[1], level, parts)
    cos_u, cos_v = _cosines(spot, row, column)
    sin_u = spot.weights[0] * (row[1] * column[0] + row[0] * column[1])
    sin_v = spot.weights[1] * (row[3] * column[2] + row[2] * column[3])
    return _cosine_cover((cos_u, sin_u, cos_v, sin_v), level, parts)


@compiled
def draw_dots(spot: DrawnSpot, turn: tuple[float, float, float], level: float, hole: bool,
              wanted: NDArray[np.bool_], drawings: NDArray[np.uint8]) -> None:
    """Draw one level's dot (or hole) at places that differ by parts of a pixel.

    Pixels of the cell that lie wholly in the dot are inked, those outside it are not. The others,
    its edge, are rounded in the order in which they lie round it.

    Parameters
    ----------
    spot : DrawnSpot
        The dot's shape.
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
    parts = PixelParts(np.empty((2, _PARTS)), np.empty((_PARTS, 4)))
    _lay_parts(cos, sin, period, parts)
    angles = np.empty(side * side)
    edge = Edge(np.empty(side * side, np.int64), np.empty(side * side), np.empty(side * side))
    # Places (u, v) are sums of a part of the row and one of the column, the halves with the rows.
    # Place by place: to compile numba's sums of whole arrays takes seconds.
    rows, columns = np.empty((2, side)), np.empty((2, side))
    row_turns, column_turns = np.empty((side, 4)), np.empty((side, 4))
    turned = np.empty(side * side, np.int64)
    for fine in range(finer * finer):
        if not wanted[fine // finer, fine % finer]:
            continue
        for k in range(side):
            down = k + 0.5 - (side // 2 + (fine // finer) / finer)
            right = k + 0.5 - (side // 2 + (fine % finer) / finer)
            rows[0, k], rows[1, k] = half - cos * down / period, half + sin * down / period
            columns[0, k], columns[1, k] = -sin * right / period, -cos * right / period
        for axis in range(2):
            _turns(rows[axis], row_turns[:, 2 * axis:2 * axis + 2])
            _turns(columns[axis], column_turns[:, 2 * axis:2 * axis + 2])
        drawing = drawings[fine // finer, fine % finer].reshape(-1)
        count = 0
        for cell in range(side * side):
            r, c = cell // side, cell % side
            u, v = rows[0, r] + columns[0, c], rows[1, r] + columns[1, c]
            row, column = row_turns[r], column_turns[c]
            height = _height(spot, (u, v), row, column)
            drawing[cell] = 255 if height > level else 0
            if (_is_off_edge(spot, (u, v), height, level, period)
                    or max(abs(u - half), abs(v - half)) > 0.5):
                continue
            cover = _cover(spot, (u, v), row, column, level, parts)
            if cover == 0.0 or cover == 1.0:
                drawing[cell] = 255 if cover == 1.0 else 0
                continue
            edge.cells[count], edge.covers[count], edge.heights[count] = cell, cover, height
            # A line's edges run along it, one there and the other back.
            u, v = u - half, v - half
            angles[count] = ((-u if v >= 0.0 else 2.0 + u) if spot.is_line
                             else math.atan2(v, u))
            count += 1
        order = np.argsort(angles[:count])
        for rounding in range(ROUNDINGS):
            number = fine * ROUNDINGS + rounding
            begin = int(number * _STEP_OF_TWO % 1.0 * count)
            back = number * _OTHER_STEP_OF_TWO % 1.0 < 0.5
            for k in range(count):
                turned[k] = order[(begin + (count - 1 - k if back else k)) % count]
            _round_edge(turned[:count], edge, (rounding + fine * _STEP % 1.0) / ROUNDINGS,
                        np.uint8(1 << rounding), drawing)
