"""Noise that is left after a halftone cell has averaged its pixels: what prints as grit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

_BLOCK_CELLS = 8
_QUIET_SHARE = 0.10
#: The quietest tenth of blocks of pure noise lies this far under it (measured on noise).
_QUIET_BIAS = 0.80
_KERNEL = np.array([[1, -2, 1], [-2, 4, -2], [1, -2, 1]], dtype=np.float32) / 6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CellNoise:
    """Noise at the size of a halftone cell.

    Attributes
    ----------
    l_star : float
        Standard deviation (L*) in the quietest tenth of the picture that is not clipped.
    is_fine : bool
        Whether averaging made it less, as it does of noise but not of texture or coarse grain;
        True where a cell is hardly more than a pixel.
    local : ndarray of float64, shape (rows, columns)
        The same for blocks of 8 × 8 cells, texture included; NaN where clipped.
    block_px : float
        Side of a block (px).
    """

    l_star: float
    is_fine: bool
    local: NDArray[np.float64]
    block_px: float


def cell_noise(
    grey: NDArray[Any], cell_px: float, lightness: NDArray[np.float64], *, top: int = 255
) -> CellNoise:
    """Average a picture over halftone cells and measure what noise is left.

    Parameters
    ----------
    grey : ndarray of uint8 or uint16, shape (rows, columns)
        Encoded lightness.
    cell_px : float
        Pixels along a halftone period; below 1 it counts as 1.
    lightness : ndarray of float64, shape (256,)
        L* of the levels 0 to 255.
    top : int
        Greatest value of ``grey``.

    Notes
    -----
    The operator that ignores even slopes and straight edges, and the factor √(π/2) from mean
    absolute value to standard deviation. Source: Immerkær 1996, Computer Vision and Image
    Understanding 64(2), 300 (from memory). The quietest tenth stands for the noise, as texture is
    not everywhere; in a picture that is texture throughout this reads it as noise.
    """
    cell = max(1.0, cell_px)
    height, width = grey.shape
    cells = (max(1, round(width / cell)), max(1, round(height / cell)))
    block_px = _BLOCK_CELLS * cell
    if min(cells) < _BLOCK_CELLS:
        return CellNoise(l_star=0.0, is_fine=True, local=np.full((1, 1), np.nan), block_px=block_px)
    means = _cell_means(grey, cell, cells) * (255 / top)
    noise, local = _quietest(means, _l_star(means, lightness))
    middle = _middle(grey)
    levels = middle.astype(np.float64) * (255 / top)
    # Whole levels are read off and not looked for between each other.
    l_star = (lightness.astype(np.float32)[middle] if top == 255 else _l_star(levels, lightness))
    fine, _ = _quietest(levels, l_star)
    return CellNoise(l_star=noise, is_fine=cell < 1.5 or noise < 0.75 * fine, local=local,
                     block_px=block_px)


def _middle(grey: NDArray[Any]) -> NDArray[Any]:
    rows, columns = (slice(max(0, n // 2 - 512), n // 2 + 512) for n in grey.shape)
    return grey[rows, columns]


def _l_star(levels: NDArray[np.float64], lightness: NDArray[np.float64]) -> NDArray[np.float32]:
    return np.interp(levels, np.arange(256), lightness).astype(np.float32)


def _quietest(means: NDArray[np.float64], l_star: NDArray[np.float32]
              ) -> tuple[float, NDArray[np.float64]]:
    """Noise (L*) in the quietest tenth, and in each block."""
    rough = np.abs(cv2.filter2D(l_star, -1, _KERNEL)) * np.sqrt(np.pi / 2)
    rows, columns = (n // _BLOCK_CELLS * _BLOCK_CELLS for n in l_star.shape)

    def blocks(cell_map: NDArray[Any]) -> NDArray[np.float64]:
        shaped = cell_map[:rows, :columns].reshape(rows // _BLOCK_CELLS, _BLOCK_CELLS, -1,
                                                   _BLOCK_CELLS)
        return np.asarray(shaped.mean(axis=(1, 3), dtype=np.float64))

    local = blocks(rough)
    mean = blocks(means)
    local[(mean < 3) | (mean > 252)] = np.nan
    known = local[np.isfinite(local)]
    noise = float(np.quantile(known, _QUIET_SHARE)) / _QUIET_BIAS if known.size >= 4 else 0.0
    return noise, local


def _cell_means(grey: NDArray[Any], cell: float, cells: tuple[int, int]) -> NDArray[np.float64]:
    """Means over cells, ``cells`` being (columns, rows), a strip of blocks at a time.

    Kept fine until averaged: of 8-bit means a noise below half a level would vanish.
    """
    if cell == 1.0:
        return grey.astype(np.float64)
    columns, rows = cells
    means = np.empty((rows, columns))
    for first in range(0, rows, _BLOCK_CELLS):
        end = min(first + _BLOCK_CELLS, rows)
        top, bottom = (round(at * grey.shape[0] / rows) for at in (first, end))
        means[first:end] = cv2.resize(_halved(grey[top:bottom], cell), (columns, end - first),
                                      interpolation=cv2.INTER_AREA)
    return means


def _halved(grey: NDArray[Any], cell: float) -> NDArray[Any]:
    """A strip as float32, reduced by 2 first where a cell is large."""
    if cell < 4:
        return grey.astype(np.float32)
    even = grey[:grey.shape[0] // 2 * 2, :grey.shape[1] // 2 * 2]
    small: NDArray[np.float32] = cv2.resize(
        even, (even.shape[1] // 2, even.shape[0] // 2), interpolation=cv2.INTER_AREA
    ).astype(np.float32)
    return small
