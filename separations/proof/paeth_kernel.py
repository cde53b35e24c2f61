"""Compiled filter of a picture's rows before they are coded as PNG."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from separations.compiled_code import LENT_FLAGS

#: Number of the filter, which each filtered row begins with.
_PAETH = 4


@njit(**LENT_FLAGS)
def paeth_rows(levels: NDArray[np.uint8], first: int, stop: int, step: int,
               out: NDArray[np.uint8]) -> None:
    """Filter rows ``first`` to ``stop`` (exclusive) into ``out``, shape (rows, 1 + row bytes).

    Parameters
    ----------
    levels : ndarray of uint8, shape (rows, row bytes)
        The whole picture.
    first, stop : int
        Rows to filter.
    step : int
        Bytes of a pixel.
    out : ndarray of uint8, shape (stop - first or more, 1 + row bytes)
        Receives them, each behind its filter's number.

    Notes
    -----
    Source: ISO/IEC 15948, 9.4: of left, upper and upper left the one nearest to left + upper -
    upper left is taken off.
    """
    for row in range(first, stop):
        into = row - first
        out[into, 0] = _PAETH
        for at in range(levels.shape[1]):
            left = np.int32(levels[row, at - step]) if at >= step else np.int32(0)
            upper = np.int32(levels[row - 1, at]) if row > 0 else np.int32(0)
            both = at >= step and row > 0
            corner = np.int32(levels[row - 1, at - step]) if both else np.int32(0)
            from_left, from_upper = abs(upper - corner), abs(left - corner)
            from_corner = abs(left + upper - corner - corner)
            near = upper if from_upper <= from_corner else corner
            taken = left if from_left <= from_upper and from_left <= from_corner else near
            out[into, 1 + at] = np.uint8((np.int32(levels[row, at]) - taken) & 255)
