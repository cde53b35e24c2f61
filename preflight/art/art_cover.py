"""How much of each pixel a placed picture covers: upright ones quickly, turned ones exactly."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely import Polygon, box

from preflight.board.area_mask import coverage_mask
from preflight.frames.raster_grid import RasterGrid

#: Decimals of a pixel that count where art ends: an edge on a pixel's border cuts none.
_SHARE_DECIMALS = 6
#: A rectangle is upright when its box is no larger than itself by more than this share.
_UPRIGHT = 1e-9
_BAND_PIXELS = 4_000_000


def art_cover(art: Polygon, grid: RasterGrid) -> NDArray[np.uint8]:
    """The share (255 = 1) of each pixel that the art's rectangle covers.

    Returns
    -------
    NDArray of uint8, shape (rows, columns)
    """
    if _is_upright(art):
        whole = np.full((grid.rows, grid.columns), 255, np.uint8)
        cut_to_art(whole, art, grid)
        return whole
    cover = np.empty((grid.rows, grid.columns), dtype=np.uint8)
    step = max(1, _BAND_PIXELS // grid.columns)
    for first in range(0, grid.rows, step):
        end = min(first + step, grid.rows)
        mask = coverage_mask(art, grid.band(first, end))
        cv2.convertScaleAbs(mask, dst=cover[first:end], alpha=1 / 257)
    return cover


def cut_to_art(piece: NDArray[np.uint8], art: Polygon, grid: RasterGrid) -> None:
    """Weigh a piece, shape (rows, columns) of its grid, by the art's cover, in place."""
    if not _is_upright(art):
        cv2.multiply(piece, art_cover(art, grid), dst=piece, scale=1 / 255)
        return
    for part, shares in zip((piece, piece.T), _shares(art, grid), strict=True):
        cut = np.flatnonzero(shares < 1)
        part[cut] = np.rint(part[cut] * shares[cut, None])


def _is_upright(art: Polygon) -> bool:
    around = box(*art.bounds).area
    return bool(around - art.area <= _UPRIGHT * around)


def _shares(art: Polygon, grid: RasterGrid) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """How much of each row, and of each column, an upright rectangle covers, 0 to 1."""
    least_x, least_y, greatest_x, greatest_y = art.bounds
    shares = []
    for many, first, end in ((grid.rows, grid.row_of(greatest_x), grid.row_of(least_x)),
                             (grid.columns, grid.column_of(greatest_y),
                              grid.column_of(least_y))):
        at = np.arange(many)
        covered = np.clip(np.minimum(at + 1, end) - np.maximum(at, first), 0, 1)
        shares.append(np.round(covered, _SHARE_DECIMALS).astype(np.float32))
    return shares[0], shares[1]
