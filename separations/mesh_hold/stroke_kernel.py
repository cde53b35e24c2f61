"""The compiled choice of those places on a letter's spine that are its strokes."""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from separations.compiled_code import LENT_FLAGS

_compiled = njit(**LENT_FLAGS)


@_compiled
def on_strokes(away, rows, columns, reach, as_wide, chosen):  # type: ignore[no-untyped-def]
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
