"""The photographs' own colours on a separation's coarse grid, beside which a print is judged."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preflight.art.source_colour import SourceColour

#: Pixels whose colours are reckoned at a time, in double precision.
_PIXELS_AT_ONCE = 2**18


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CoarsePhoto:
    """A photograph on the coarse grid.

    Attributes
    ----------
    rgb : ndarray of uint8 or uint16, shape (coarse rows, coarse columns, 3)
        In its own encoding.
    there : ndarray of bool, shape (coarse rows, coarse columns)
        Where it shows.
    colour : SourceColour
        What its numbers mean.
    """

    rgb: NDArray[Any]
    there: NDArray[np.bool_]
    colour: SourceColour


def lab_of(photos: Sequence[CoarsePhoto], shape: tuple[int, ...]) -> NDArray[np.float32]:
    """Lab D50 of photographs laid on each other, shape (coarse rows, coarse columns, 3).

    Not a number where there is none. Takes longer than separating them: for reports alone.

    Parameters
    ----------
    photos : sequence of CoarsePhoto
        Later ones over earlier ones.
    shape : tuple of int
        Rows and columns of the coarse grid.
    """
    lab = np.full((*shape, 3), np.nan, np.float32)
    for photo in photos:
        top = np.iinfo(photo.rgb.dtype).max
        for rows in bands_of(shape):
            there = photo.there[rows]
            lab[rows][there] = photo.colour.lab(photo.rgb[rows][there] / top)
    return lab


def bands_of(shape: tuple[int, ...]) -> Iterator[slice]:
    """Rows of a picture, so many at a time that reckoning their colours takes little room."""
    step = max(1, _PIXELS_AT_ONCE // shape[1])
    return (slice(row, min(row + step, shape[0])) for row in range(0, shape[0], step))
