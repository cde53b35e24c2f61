"""The compiled distance to the nearest gap, no further than it matters."""

from __future__ import annotations

import numpy as np
from numba import njit

from separations.compiled_code import LENT_FLAGS

#: The greatest distance whose square, twice over, 16 bits hold with ease.
MOST_DISTANCE = 127

_compiled = njit(**LENT_FLAGS)


@_compiled
def squares_to_edge(part, most, along_rows, squares):  # type: ignore[no-untyped-def]
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
