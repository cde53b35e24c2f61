"""The compiled loop that lays one photograph's tones over what is there."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from separations.runtime.compiled_code import compiled_on_borrowed_arrays

Tones = NDArray[np.uint16]


@compiled_on_borrowed_arrays
def lay_over(plane: Tones, over: Tones, cover: NDArray[np.uint8]) -> None:
    """Mix tones into a plane by their cover, rounded to nearest.

    Parameters
    ----------
    plane : NDArray of uint16, shape (rows, columns)
        What lies beneath; receives the result.
    over : NDArray of uint16, shape (rows, columns)
        What is laid over it.
    cover : NDArray of uint8, shape (rows, columns)
        255 where it is opaque, 0 where it is not there.
    """
    opaque, one = np.uint8(255), np.float32(1.0)
    for row in range(cover.shape[0]):
        for column in range(cover.shape[1]):
            covers = cover[row, column]
            if covers == opaque:
                plane[row, column] = over[row, column]
            elif covers:
                share = np.float32(covers) / np.float32(opaque)
                plane[row, column] = np.uint16(np.rint(
                    np.float32(plane[row, column]) * (one - share)
                    + np.float32(over[row, column]) * share))
