"""Compiled search for the boxes of a separation that are worth a close look."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from separations.runtime.compiled_code import compiled_on_borrowed_arrays, inner_kernel

_FULL = np.float32(65_535)


class BoxSums(NamedTuple):
    """Running sums over a box of rows, for each column; working space.

    ``tones`` and ``squares`` are (k, columns) and start at nothing, ``along`` and
    ``squares_along`` (columns + 1,), ``variety`` and ``inked`` (columns,). Whole numbers, which
    double precision holds exactly and adds faster than integers.
    """

    tones: NDArray[np.float64]
    squares: NDArray[np.float64]
    along: NDArray[np.float64]
    squares_along: NDArray[np.float64]
    variety: NDArray[np.float64]
    inked: NDArray[np.float64]


class BestBoxes(NamedTuple):
    """The busiest box, the one nearest to a tint, and the fullest.

    Attributes
    ----------
    value : ndarray of float64, shape (3,)
        Variety, distance from the tint and sum; to begin with what has to be surpassed.
    place : ndarray of int64, shape (3,)
        Flat indices of the boxes' middles.
    """

    value: NDArray[np.float64]
    place: NDArray[np.int64]


def box_sums(inks: int, columns: int) -> BoxSums:
    """Working space for that many inks and columns."""
    return BoxSums(
        tones=np.zeros((inks, columns)), squares=np.zeros((inks, columns)),
        along=np.zeros(columns + 1), squares_along=np.zeros(columns + 1),
        variety=np.zeros(columns), inked=np.zeros(columns))


@inner_kernel
def _take_row(tones: NDArray[np.uint16], row: int, sign: float, sums: BoxSums) -> None:
    """Add a row to the sums, or take it away."""
    for ink in range(tones.shape[0]):
        for column in range(tones.shape[2]):
            tone = np.float64(tones[ink, row, column])
            sums.tones[ink, column] += sign * tone
            sums.squares[ink, column] += sign * tone * tone


@inner_kernel
def _sum_boxes(sums: BoxSums, tall: int, wide: int, first: int, boxes: int) -> None:
    """Variety and sum of the inks for so many boxes, the first of them from column ``first`` on."""
    count = np.float64(tall * wide)
    along, squares_along = sums.along, sums.squares_along
    for box in range(boxes):
        sums.variety[box], sums.inked[box] = 0.0, 0.0
    for ink in range(sums.tones.shape[0]):
        total, squares = 0.0, 0.0
        for place in range(boxes + wide - 1):
            along[place], squares_along[place] = total, squares
            total += sums.tones[ink, first + place]
            squares += sums.squares[ink, first + place]
        along[boxes + wide - 1], squares_along[boxes + wide - 1] = total, squares
        for box in range(boxes):
            inside = along[wide + box] - along[box]
            spread = count * (squares_along[wide + box] - squares_along[box]) - inside * inside
            sums.inked[box] += inside
            sums.variety[box] += np.sqrt(spread)


@inner_kernel
def _compare(whole: NDArray[np.uint8], row: int, first: int, stop: int, share: float,
             tint: np.float32, sums: BoxSums, best: BestBoxes) -> None:
    """Keep what is better of a row's boxes about ``first`` to ``stop`` (exclusive)."""
    value, place = best.value, best.place
    for column in range(first, stop):
        if whole[row, column] == 0:
            continue
        variety = sums.variety[column - first]
        mean = np.float32(sums.inked[column - first] * share) / _FULL
        away = np.abs(mean - tint)
        at = row * whole.shape[1] + column
        if variety > value[0]:
            value[0], place[0] = variety, at
        if mean > np.float32(1e-3) and away < value[1]:
            value[1], place[1] = away, at
        if mean > value[2]:
            value[2], place[2] = mean, at


@compiled_on_borrowed_arrays
def find_boxes(tones: NDArray[np.uint16], whole: NDArray[np.uint8], tall: int, wide: int,
               tint: np.float32, sums: BoxSums, best: BestBoxes) -> None:
    """The first of the busiest boxes, of those nearest to a tint, and of the fullest.

    Parameters
    ----------
    tones : ndarray of uint16, shape (k, rows, columns)
        Film tones.
    whole : ndarray of uint8, shape (rows, columns)
        Not 0 where a box about this pixel may be taken; never so near the rim that it would
        reach beyond.
    tall, wide : int
        Of the box in pixels, both odd.
    tint : float32
        Sum of all inks' mean tones (0 to k) that is looked for, where there is more than 0.001.
    sums : BoxSums
        Fresh working space.
    best : BestBoxes
        Receives what surpasses it.

    Notes
    -----
    Variety is the inks' standard deviations added up. Sums are of whole numbers, so it does not
    depend on where the box came from.
    """
    rows, columns = whole.shape
    half = tall // 2
    share = 1.0 / (tall * wide)
    for row in range(min(half, rows)):
        _take_row(tones, row, 1.0, sums)
    for row in range(rows):
        if row + half < rows:
            _take_row(tones, row + half, 1.0, sums)
        if row > half:
            _take_row(tones, row - half - 1, -1.0, sums)
        first, stop = 0, columns
        while first < stop and whole[row, first] == 0:
            first += 1
        while stop > first and whole[row, stop - 1] == 0:
            stop -= 1
        if first < stop:
            _sum_boxes(sums, tall, wide, first - wide // 2, stop - first)
            _compare(whole, row, first, stop, share, tint, sums, best)
