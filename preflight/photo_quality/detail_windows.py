"""Where in a picture to look: one small window for each tile, at its place of most detail."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

#: Tiles along the picture's longer side, at most.
MOST_TILES = 32
_STEP = 8


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tiling:
    """Square tiles over a picture, from its first pixel; those at the far edges may be cut.

    Attributes
    ----------
    tile_px : int
        Side of a tile.
    rows, columns : int
        Number of tiles.
    """

    tile_px: int
    rows: int
    columns: int

    def box_px(self, row: int, column: int, height: int, width: int) -> tuple[int, int, int, int]:
        """(first column, first row, end column, end row) of a tile."""
        x, y = column * self.tile_px, row * self.tile_px
        return x, y, min(x + self.tile_px, width), min(y + self.tile_px, height)

    def areas_px(self, height: int, width: int) -> NDArray[np.float64]:
        """Pixels in each tile of a picture, shape (rows, columns)."""
        sides = [np.minimum(self.tile_px, whole - np.arange(count) * self.tile_px)
                 for whole, count in ((height, self.rows), (width, self.columns))]
        return np.outer(*sides).astype(np.float64)

    def shares(self, marked: NDArray[np.bool_], step: int = 1) -> NDArray[np.float64]:
        """Share of marked pixels in each tile, shape (rows, columns).

        ``marked`` is sampled at every ``step`` pixels of the picture, both ways.
        """
        side = self.tile_px / step
        row_of = np.minimum(np.arange(marked.shape[0]) / side, self.rows - 1).astype(np.intp)
        column_of = np.minimum(np.arange(marked.shape[1]) / side, self.columns - 1).astype(np.intp)
        starts = np.searchsorted(row_of, np.arange(self.rows))
        counted = [cv2.reduce(part, 0, cv2.REDUCE_SUM, dtype=cv2.CV_32S) for part in
                   np.split(np.ascontiguousarray(marked).view(np.uint8), starts[1:])]
        by_row = np.concatenate(counted).astype(np.float64)
        sums = np.add.reduceat(by_row, np.searchsorted(column_of, np.arange(self.columns)), axis=1)
        counts = np.outer(np.bincount(row_of, minlength=self.rows),
                          np.bincount(column_of, minlength=self.columns))
        return np.asarray(sums / np.maximum(counts, 1))


def picture_tiles(height: int, width: int) -> Tiling:
    """Tiles of half a window or more, up to `MOST_TILES` along the longer side."""
    side = max(window_side(height, width) // 2, 16, -(-max(height, width) // MOST_TILES))
    side = -(-side // _STEP) * _STEP
    return Tiling(tile_px=side, rows=-(-height // side), columns=-(-width // side))


def window_side(height: int, width: int) -> int:
    """Pixels along a window: 128, less in a small picture; 0 when it is too small to tell."""
    shorter = min(height, width)
    return 128 if shorter >= 384 else 64 if shorter >= 64 else shorter // 2 * 2 if shorter >= 24 \
        else 0


def detail_origins(grey: NDArray[Any], tiles: Tiling, side: int) -> NDArray[np.intp]:
    """Where the window of each tile lies: where neighbouring pixels differ most.

    Parameters
    ----------
    grey : ndarray, shape (rows, columns)
        Any depth.
    tiles : Tiling
        Tiles over it.
    side : int
        Of a window (px), no larger than the picture.

    Returns
    -------
    ndarray of intp, shape (tiles, 2)
        (row, column) of each one's first pixel, tiles row by row.
    """
    height, width = grey.shape
    here = grey[:-1:_STEP, :-1:_STEP].astype(np.float32, order="C")
    activity = (np.abs(grey[:-1:_STEP, 1::_STEP] - here) + np.abs(grey[1::_STEP, :-1:_STEP] - here))
    cells = max(1, side // _STEP)
    # The sum over the window that starts at each sample.
    summed = cv2.boxFilter(activity, -1, (cells, cells), anchor=(0, 0), normalize=False,
                           borderType=cv2.BORDER_CONSTANT)
    per_tile = tiles.tile_px // _STEP
    origins = np.empty((tiles.rows * tiles.columns, 2), dtype=np.intp)
    for number in range(len(origins)):
        top, left = (at * per_tile for at in divmod(number, tiles.columns))
        part = summed[top:top + per_tile, left:left + per_tile]
        row, column = (np.unravel_index(int(np.argmax(part)), part.shape) if part.size
                       else (0, 0))
        origins[number] = (min((top + int(row)) * _STEP, height - side),
                           min((left + int(column)) * _STEP, width - side))
    return origins


def cut_windows(grey: NDArray[Any], origins: NDArray[np.intp], side: int) -> NDArray[np.float32]:
    """Windows of a picture, shape (windows, side, side)."""
    windows = np.empty((len(origins), side, side), np.float32)
    for window, (row, column) in zip(windows, origins, strict=True):
        window[:] = grey[row:row + side, column:column + side]
    return windows


def line_spectra(windows: NDArray[np.float32], axis: int) -> NDArray[np.float32]:
    """Mean power spectrum along the rows (``axis`` 2) or columns (1) of each window.

    Returns
    -------
    ndarray of float32, shape (windows, side / 2 + 1)
        Scaled so that white noise has its variance in each bin.
    """
    side = windows.shape[axis]
    taper = np.hanning(side + 1)[:side].astype(np.float32)
    lines = np.swapaxes(windows, 1, 2) if axis == 1 else windows
    lines = (lines - lines.mean(axis=2, keepdims=True)) * taper
    power = np.abs(np.fft.rfft(lines, axis=2))**2
    return np.asarray(power.mean(axis=1) / (taper**2).sum(), dtype=np.float32)
