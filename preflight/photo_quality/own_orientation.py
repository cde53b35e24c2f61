"""A picture turned and mirrored to an orientation of its own, whichever its file has."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Oriented:
    """A picture in its own orientation.

    Attributes
    ----------
    grey : ndarray, shape (rows, columns)
        The same pixels for all eight orientations of a picture; a view of what was given, since a
        copy of a large photograph is hundreds of megabytes.
    to_given : ndarray of float64, shape (3, 3)
        From its (column, row, 1) to those of the picture as it was given.
    """

    grey: NDArray[Any]
    to_given: NDArray[np.float64]


def own_orientation(grey: NDArray[Any]) -> Oriented:
    """Turn and mirror a picture so that it lies as all its turned and mirrored copies would.

    Parameters
    ----------
    grey : ndarray of uint8 or uint16, shape (rows, columns)
        Encoded lightness.

    Notes
    -----
    The longer side lies level; the lighter half lies to the right, and below. Of a square one the
    more uneven direction lies level. Sums are of whole numbers, so that they are exact.
    """
    turned, matrix = grey, np.eye(3)
    across, down = _leaning(turned)
    if across < 0:
        turned, matrix = turned[:, ::-1], matrix @ _mirrored(turned.shape[1], axis=0)
    if down < 0:
        turned, matrix = turned[::-1], matrix @ _mirrored(turned.shape[0], axis=1)
    rows, columns = turned.shape
    if rows > columns or (rows == columns and abs(down) > abs(across)):
        turned, matrix = turned.T, matrix @ np.array([[0.0, 1, 0], [1, 0, 0], [0, 0, 1]])
    return Oriented(grey=turned, to_given=matrix)


def _leaning(grey: NDArray[Any]) -> tuple[int, int]:
    """How much more light lies right than left, and below than above: first moments, exact."""
    moments = []
    for axis in (0, 1):
        sums = grey.sum(axis=axis, dtype=np.int64)
        places = 2 * np.arange(len(sums), dtype=np.int64) - (len(sums) - 1)
        moments.append(sum(int(one) for one in sums * places))
    return moments[0], moments[1]


def _mirrored(pixels: int, axis: int) -> NDArray[np.float64]:
    matrix = np.eye(3)
    matrix[axis, axis], matrix[axis, 2] = -1.0, pixels
    return matrix
