"""Dither ranks without low frequencies, on a torus: each next dot goes where there is most room.

Source: R. Ulichney, "The void-and-cluster method for dither array generation", Proc. SPIE 1913
(1993), from memory: dots of a sparse pattern are moved from the tightest cluster to the largest
void until that changes nothing; then dots are taken out of clusters to rank them downwards, and
put into voids to rank the rest upwards. Since the sum over all places is constant, the largest
void among dots is the tightest cluster among holes, so no third phase is needed. Here crowding
falls off in steps of scale, so that sparse dots keep apart too, and is counted in whole numbers,
so that the ranks are the same on every machine.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from separations.runtime.compiled_code import compiled, inner_kernel

#: Dots in the pattern that is evened out first: this part of all places.
_SPARSE_PART = 16
#: From there on dots are near each other, and only those this many places off are counted.
_NEAR = 12
_SCALES = ((1.5, 1.0), (3.0, 2.0**-5), (6.0, 2.0**-10), (12.0, 2.0**-15))
_UNIT = 2.0**44

#: How crowded places, or the best of each row, are; and where dots are.
Crowding = NDArray[np.int64]
Dots = NDArray[np.bool_]


def dither_ranks(squared_distance: NDArray[np.float64]) -> NDArray[np.int32]:
    """The order in which the places of a tile fill.

    Parameters
    ----------
    squared_distance : NDArray of float64, shape (n, n)
        Squared distance of each place from place (0, 0) on the torus, in units of the nearest
        neighbours' distance. The tile may be skew (a hexagonal lattice).

    Returns
    -------
    NDArray of int32, shape (n, n)
        0 for the place that fills first, n² − 1 for the last.
    """
    side = len(squared_distance)
    crowding = np.zeros_like(squared_distance)
    for spread, weight in _SCALES:
        crowding += weight * np.exp(-squared_distance / (2 * spread**2))
    kernel = np.rint(crowding * _UNIT).astype(np.int64)
    dots = np.zeros((side, side), np.bool_)
    dots.reshape(-1)[_scattered(side * side)[:side * side // _SPARSE_PART]] = True
    ranks = np.empty((side, side), np.int32)
    _rank(kernel, dots, min(_NEAR, side // 2 - 1), ranks)
    return ranks


def _scattered(count: int) -> NDArray[np.intp]:
    """The numbers below ``count`` in a fixed irregular order."""
    mixed = np.arange(1, count + 1, dtype=np.uint64) * np.uint64(0x9E3779B97F4A7C15)
    for shift, factor in ((30, 0xBF58476D1CE4E5B9), (27, 0x94D049BB133111EB)):
        mixed = (mixed ^ (mixed >> np.uint64(shift))) * np.uint64(factor)
    return np.argsort(mixed ^ (mixed >> np.uint64(31)), kind="stable")


@inner_kernel
def _add_everywhere(energy: Crowding, kernel: Crowding, row: int, column: int, sign: int) -> None:
    """Add one dot's crowding to all places."""
    side = energy.shape[0]
    for r in range(side):
        from_row = kernel[r]
        to_row = energy[(row + r) % side]
        for c in range(side - column):
            to_row[column + c] += sign * from_row[c]
        for c in range(column):
            to_row[c] += sign * from_row[side - column + c]


@inner_kernel
def _add_near(energy: Crowding, near: Crowding, row: int, column: int) -> None:
    """Add one dot's crowding, told for the rows and columns near it, to the places there."""
    side, across = energy.shape[0], near.shape[0]
    left = column - across // 2
    for r in range(across):
        from_row = near[r]
        to_row = energy[(row + r - across // 2) % side]
        if left >= 0 and left + across <= side:
            part = to_row[left:left + across]
            for c in range(across):
                part[c] += from_row[c]
        else:
            for c in range(across):
                to_row[(left + c) % side] += from_row[c]


@inner_kernel
def _best_of_row(
    energy: Crowding, dots: Dots, row: int, wanted: bool, best: Crowding, where: Crowding,
) -> None:
    """The most crowded dot (wanted) or the least crowded gap (not wanted) of one row."""
    found = -1
    least = np.int64(0)
    for c in range(energy.shape[1]):
        if dots[row, c] == wanted:
            value = -energy[row, c] if wanted else energy[row, c]
            if found < 0 or value < least:
                least = value
                found = c
    best[row] = least
    where[row] = found


@inner_kernel
def _best(best: Crowding, where: Crowding) -> tuple[int, int]:
    row = -1
    for r in range(best.size):
        if where[r] >= 0 and (row < 0 or best[r] < best[row]):
            row = r
    return row, where[row]


@inner_kernel
def _settle(
    energy: Crowding, dots: Dots, row: int, column: int, reach: int, best: Crowding,
    where: Crowding,
) -> None:
    """Find again the least crowded gap of each row near a new dot, where it has become less so.

    A gap that lies farther off than the dot reaches is still the least crowded of its row.
    """
    side = energy.shape[0]
    for r in range(min(2 * reach + 1, side)):
        here = (row + r - reach) % side
        away = abs(where[here] - column)
        if min(away, side - away) <= reach:
            _best_of_row(energy, dots, here, False, best, where)


@inner_kernel
def _find(
    energy: Crowding, dots: Dots, wanted: bool, best: Crowding, where: Crowding,
) -> tuple[int, int]:
    for r in range(energy.shape[0]):
        _best_of_row(energy, dots, r, wanted, best, where)
    return _best(best, where)


@inner_kernel
def _even_out(
    kernel: Crowding, energy: Crowding, dots: Dots, count: int, best: Crowding, where: Crowding,
) -> None:
    """Move dots from the tightest cluster to the largest void until that is the same place."""
    for _ in range(4 * count):
        row, column = _find(energy, dots, True, best, where)
        dots[row, column] = False
        _add_everywhere(energy, kernel, row, column, -1)
        to_row, to_column = _find(energy, dots, False, best, where)
        dots[to_row, to_column] = True
        _add_everywhere(energy, kernel, to_row, to_column, 1)
        if to_row == row and to_column == column:
            break


@compiled
def _rank(  # noqa: C901  (loops that stand for numpy's)
    kernel: Crowding, dots: Dots, near: int, ranks: NDArray[np.int32],
) -> None:
    side = kernel.shape[0]
    energy = np.zeros((side, side), np.int64)
    best = np.empty(side, np.int64)
    where = np.empty(side, np.int64)
    count = 0
    # place by place: to compile numba's work on whole arrays takes seconds
    for r in range(side):
        for c in range(side):
            if dots[r, c]:
                _add_everywhere(energy, kernel, r, c, 1)
                count += 1
    _even_out(kernel, energy, dots, count, best, where)
    sparse = dots.copy()
    for rank in range(count - 1, -1, -1):
        row, column = _find(energy, dots, True, best, where)
        dots[row, column] = False
        _add_everywhere(energy, kernel, row, column, -1)
        ranks[row, column] = rank
    for r in range(side):
        for c in range(side):
            energy[r, c] = 0
            dots[r, c] = sparse[r, c]
    across = 2 * near + 1
    crowding = np.empty((across, across), np.int64)
    for r in range(across):
        for c in range(across):
            crowding[r, c] = kernel[(r - near) % side, (c - near) % side]
    for r in range(side):
        for c in range(side):
            if dots[r, c]:
                _add_near(energy, crowding, r, c)
    _find(energy, dots, False, best, where)
    for rank in range(count, side * side):
        row, column = _best(best, where)
        dots[row, column] = True
        ranks[row, column] = rank
        _add_near(energy, crowding, row, column)
        _settle(energy, dots, row, column, near, best, where)
