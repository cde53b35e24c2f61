"""Compiled fibres of the wood's figure."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from separations.compiled_code import LENT_FLAGS

Float32Array = NDArray[np.float32]


@njit(**LENT_FLAGS)
def add_fibres(columns: Float32Array, along: Float32Array, ends: NDArray[np.int64],
               shifts: Float32Array, height: np.float32, figure: Float32Array) -> None:
    """Add one wave's fibres to the figure, strip by strip.

    Parameters
    ----------
    columns : ndarray of float32, shape (tile rows + 1, picture columns)
        The wave's tile at the picture's columns; the last row is the first one again.
    along : ndarray of float32, shape (picture rows,)
        Tile rows from the board's middle to each row of the picture.
    ends : ndarray of int64, shape (strips + 1,)
        Where the strips' columns begin, and where the last of them ends.
    shifts : ndarray of float32, shape (strips,)
        Tile rows by which the fibres of each strip are shifted.
    height : float32
        Of the wave.
    figure : ndarray of float32, shape (picture rows, picture columns)
        Added to.
    """
    tile = np.float32(columns.shape[0] - 1)
    for row in range(len(along)):
        for strip in range(len(shifts)):
            place = along[row] + shifts[strip]
            place -= tile * np.floor(place / tile)
            above = np.int64(place)
            below = min(above + 1, columns.shape[0] - 1)
            share = np.float64(place - np.float32(above))
            for column in range(ends[strip], ends[strip + 1]):
                low = columns[above, column]
                rise = columns[below, column] - low
                figure[row, column] += np.float32(rise * share + low) * height
