"""The compiled loops of tiles: their strongest waves, and means of a plane round them."""

from __future__ import annotations

import numpy as np
from numba import njit

from separations.compiled_code import LENT_FLAGS

_compiled = njit(**LENT_FLAGS)


@_compiled
def _within(place, count):  # type: ignore[no-untyped-def]
    """A place, or where it lies mirrored at the first or the last of so many."""
    while count > 1 and not 0 <= place < count:
        place = -place if place < 0 else 2 * (count - 1) - place
    return min(max(place, 0), count - 1)


@_compiled
def box_means(plane, rows, columns, side, means):  # type: ignore[no-untyped-def]
    """Means over a square round each place; beyond its rim the plane is mirrored.

    Parameters
    ----------
    plane : NDArray of uint16, shape (plane rows, plane columns)
    rows, columns : NDArray of int64, shape (N,)
        The squares' middles.
    side : int
        Of the square, at most 65536; where it is even, one pixel more lies above and to the left.
    means : NDArray of float64, shape (N,)
        The result.
    """
    for n in range(means.size):
        top, left = rows[n] - side // 2, columns[n] - side // 2
        inside = left >= 0 and left + side <= plane.shape[1]
        total = np.int64(0)
        for r in range(top, top + side):
            row = plane[_within(r, plane.shape[0])]
            line = np.uint32(0)
            if inside:
                part = row[left:left + side]
                for c in range(side):
                    line = np.uint32(line + part[c])
            else:
                for c in range(left, left + side):
                    line = np.uint32(line + row[_within(c, plane.shape[1])])
            total += np.int64(line)
        means[n] = total / (side * side)


@_compiled
def strongest_waves(waves, rows, first, weights, room, best):  # type: ignore[no-untyped-def]
    """The greatest of each tile's weighted waves.

    Parameters
    ----------
    waves : NDArray of float32, shape (N, tile rows, tile columns)
        Amplitudes, at least 0.
    rows : NDArray of int64, shape (n,)
        The rows that count.
    first : int
        The first column that counts.
    weights : NDArray of float32, shape (n, m)
        What the waves of these rows and m columns are multiplied with, at least 0.
    room : NDArray of float32, shape (m,)
        To work in.
    best : NDArray of float32, shape (N,)
        The result.
    """
    end = first + room.size
    bits = room.view(np.int32)  # which rise with the numbers, none being below 0
    bits_of_best = best.view(np.int32)
    for tile in range(best.size):
        most = np.int32(0)
        for n in range(rows.size):
            row, weight = waves[tile, rows[n], first:end], weights[n]
            for c in range(room.size):
                room[c] = row[c] * weight[c]
            for c in range(room.size):
                most = max(most, bits[c])
        bits_of_best[tile] = most
