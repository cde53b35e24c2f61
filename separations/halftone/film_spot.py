"""A dot shape's spot over a film, as the compiled loops take it."""

from __future__ import annotations

import math
from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.frames.raster_grid import RasterGrid
from preflight.press.halftone_spec import HalftoneSpec
from separations.halftone.cell_lattice import Turned
from separations.halftone.spot_levels import (
    SPOT_SCALE,
    CosineSpot,
    FoldedSpot,
    RankedSpot,
    levelled_spot,
)
from separations.halftone.upsampling import WEIGHT_ONE

#: How a spot is computed: from waves, from folded turns, or out of a ranked table.
WAVES, FOLDS, RANKS = range(3)
_NO_RANKS = np.zeros((1, 1), np.int16)
_NO_RANKS.setflags(write=False)


class FilmSpot(NamedTuple):
    """The spot, as parts of film rows and film columns.

    Attributes
    ----------
    form : int
        `WAVES`, `FOLDS` or `RANKS`.
    amplitudes, waves : NDArray of float32, shapes (rows, 4), (4, columns)
        Of waves: their products summed are the spot in level units × 16384.
    row_turns, column_turns : NDArray of int32, shapes (rows, 2), (2, columns)
        Of the others: their sums are the position (u, v) in 2⁻³² periods.
    ranks : NDArray of int16, shape (n, n)
        Of the last: the spot in level units by its place in the cell, n a power of two.
    """

    form: int
    amplitudes: NDArray[np.float32]
    waves: NDArray[np.float32]
    row_turns: NDArray[np.int32]
    column_turns: NDArray[np.int32]
    ranks: NDArray[np.int16]


class DrawnSpot(NamedTuple):
    """The spot, as dots are drawn of it one by one.

    Attributes
    ----------
    form : int
        `WAVES`, `FOLDS` or `RANKS`.
    weights : tuple of float
        Of the waves along and across; their sum is 1.
    ranks, lows, highs : NDArray of int16, shape (n, n)
        The ranked spot, and the least and the greatest that a pixel round each place may meet.
    is_line : bool
        Whether its dots are lines along the angle.
    """

    form: int
    weights: tuple[float, float]
    ranks: NDArray[np.int16]
    lows: NDArray[np.int16]
    highs: NDArray[np.int16]
    is_line: bool


def film_spot(spec: HalftoneSpec, grid: RasterGrid) -> FilmSpot:
    """The spot of a halftone over a film, in the board frame, at pixel centres."""
    turned = Turned.of(spec, grid)
    u_row, v_row = turned.of_rows(grid.row_centres_x_mm())
    u_column, v_column = turned.of_columns(grid.column_centres_y_mm())
    spot = levelled_spot(spec.dot_shape)
    if isinstance(spot, CosineSpot):
        along, across = spot.sum.along, spot.sum.across
        scale = SPOT_SCALE * WEIGHT_ONE / (along + across)
        amplitudes = np.stack([along * scale * np.cos(2 * np.pi * u_row),
                               -along * scale * np.sin(2 * np.pi * u_row),
                               across * scale * np.cos(2 * np.pi * v_row),
                               -across * scale * np.sin(2 * np.pi * v_row)], axis=1)
        waves = np.stack([np.cos(2 * np.pi * u_column), np.sin(2 * np.pi * u_column),
                          np.cos(2 * np.pi * v_column), np.sin(2 * np.pi * v_column)])
        return FilmSpot(WAVES, amplitudes.astype(np.float32), waves.astype(np.float32),
                        np.zeros((grid.rows, 2), np.int32), np.zeros((2, grid.columns), np.int32),
                        _NO_RANKS)
    form, ranks = (FOLDS, _NO_RANKS) if isinstance(spot, FoldedSpot) else (RANKS, spot.ranks)
    return FilmSpot(form, np.zeros((grid.rows, 4), np.float32),
                    np.zeros((4, grid.columns), np.float32),
                    _turns(np.stack([u_row, v_row], axis=1)),
                    _turns(np.stack([u_column, v_column])), ranks)


def _turns(periods: NDArray[np.float64]) -> NDArray[np.int32]:
    """Periods as 2⁻³² of a period that wrap, signed from the nearest whole period."""
    return np.rint((periods - np.round(periods)) * 2.0**32).astype(np.int64).astype(np.int32)


def drawn_spot(spec: HalftoneSpec) -> DrawnSpot:
    """The spot of a halftone, for `separations.halftone.dot_drawing_kernel.draw_dots`."""
    spot, is_line = levelled_spot(spec.dot_shape), spec.makes_lines
    if isinstance(spot, CosineSpot):
        total = spot.sum.along + spot.sum.across
        return DrawnSpot(WAVES, (spot.sum.along / total, spot.sum.across / total),
                         _NO_RANKS, _NO_RANKS, _NO_RANKS, is_line)
    if isinstance(spot, FoldedSpot):
        return DrawnSpot(FOLDS, (0.0, 1.0), _NO_RANKS, _NO_RANKS, _NO_RANKS, is_line)
    lows, highs = _met_by_pixels(spot, spec.cell_pixels)
    return DrawnSpot(RANKS, (0.0, 1.0), spot.ranks, lows, highs, is_line)


def _met_by_pixels(spot: RankedSpot, cell_pixels: float) -> tuple[NDArray[np.int16],
                                                                  NDArray[np.int16]]:
    """The least and greatest rank within half a pixel's diagonal of each place of the cell."""
    reach = math.ceil(len(spot.ranks) * math.sqrt(0.5) / cell_pixels) + 1
    near = cv2.getStructuringElement(cv2.MORPH_RECT, (2 * reach + 1, 2 * reach + 1))
    wrapped = np.pad(spot.ranks, reach, mode="wrap")
    inner = slice(reach, -reach)
    lows, highs = (np.ascontiguousarray(swept(wrapped, near)[inner, inner]).astype(np.int16)
                   for swept in (cv2.erode, cv2.dilate))
    for part in (lows, highs):
        part.setflags(write=False)
    return lows, highs
