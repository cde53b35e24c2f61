"""The edges of JPEG's 8-pixel blocks, wherever the grid begins."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preflight.art.damage.block_borders import BLOCK_PX
from preflight.photo_quality.detail_windows import Tiling

_MOST_LINES_PX = 2_000_000
#: Beside a block's edge neighbours differ by no more than this (levels of 255).
_SMOOTH = 4.0
_TALLEST = 24.0
_LEAST_SAMPLES = 1500


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class JpegBlocking:
    """Steps at block edges.

    Attributes
    ----------
    step : float
        How much more neighbours differ across block edges than across the borders of any other
        grid of 8 pixels, in smooth parts (levels of 255), the mean of both directions; 0 where
        there is no grid.
    phase : tuple of int
        (row, column) 0 to 7 of the first pixel after an edge.
    local : ndarray of float64, shape of the tiling
        `step` by tile.
    """

    step: float
    phase: tuple[int, int]
    local: NDArray[np.float64]


def jpeg_blocking(grey: NDArray[Any], tiles: Tiling, *, top: int = 255) -> JpegBlocking:
    """Measure the steps at the edges of 8 × 8 blocks.

    Parameters
    ----------
    grey : ndarray of uint8 or uint16, shape (rows, columns)
        Encoded lightness.
    tiles : Tiling
        For the local map.
    top : int
        Greatest value.

    Notes
    -----
    The difference across each pixel border, less the mean of those on either side, is averaged by
    the border's position modulo 8; the greatest of the eight means stands for the grid, and the
    next of them is taken off as what chance and texture give. Block size: ISO/IEC 10918-1. The way
    of measuring is our own.
    """
    found = [_along_rows(grey, tiles, top), _along_rows(grey.T, _turned(tiles), top)]
    (step_x, column, local_x), (step_y, row, local_y) = found
    both = min(step_x, step_y) > 0
    return JpegBlocking(step=(step_x + step_y) / 2 if both else 0.0, phase=(row, column),
                        local=(local_x + local_y.T) / 2 if both else np.zeros_like(local_x))


def _turned(tiles: Tiling) -> Tiling:
    return Tiling(tile_px=tiles.tile_px, rows=tiles.columns, columns=tiles.rows)


def _along_rows(grey: NDArray[Any], tiles: Tiling, top: int
                ) -> tuple[float, int, NDArray[np.float64]]:
    """Step height, phase and local map for borders between columns."""
    width = grey.shape[1]
    none = 0.0, 0, np.zeros((tiles.rows, tiles.columns))
    if width < 3 * BLOCK_PX:
        return none
    every = max(1, grey.size // _MOST_LINES_PX)
    lines = np.ascontiguousarray(grey[::every]).astype(np.float32) * np.float32(255 / top)
    across = np.abs(lines[:, 1:] - lines[:, :-1])
    beside = across[:, :-2] + across[:, 2:]
    excess = across[:, 1:-1] - beside / 2
    smooth = (beside <= _SMOOTH) & (across[:, 1:-1] <= _TALLEST)
    excess[~smooth] = 0.0
    sums = _by_phase(excess.sum(axis=0, dtype=np.float64))
    counts = _by_phase(smooth.sum(axis=0, dtype=np.float64))
    if counts.min() < _LEAST_SAMPLES:
        return none
    means = sums / counts
    phase = int(np.argmax(means))
    others = np.delete(means, phase)
    chance = float(others.max())  # the control: what the grid would show laid anywhere else
    step = float(means[phase] - chance)
    # The borders beside a block's edge have its step beside them: they say nothing of chance.
    spread = float(means[(phase + np.arange(2, 7)) % BLOCK_PX].std())
    if step < 6 * spread + 0.02:
        return none
    # Border i of `excess` lies between pixels i + 1 and i + 2.
    local = np.zeros((tiles.rows, tiles.columns))
    at = np.arange(phase, excess.shape[1], BLOCK_PX)
    rows = np.minimum(np.arange(len(lines)) * every // tiles.tile_px, tiles.rows - 1)
    columns = np.minimum((at + 2) // tiles.tile_px, tiles.columns - 1)
    spots = (rows[:, None] * tiles.columns + columns).ravel()
    cells = tiles.rows * tiles.columns
    total = np.bincount(spots, excess[:, at].ravel(), cells)
    number = np.bincount(spots, smooth[:, at].ravel(), cells)
    enough = number >= 50
    local.ravel()[enough] = np.maximum(total[enough] / number[enough] - chance, 0)
    return step, (phase + 2) % BLOCK_PX, local


def _by_phase(columns: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.bincount(np.arange(len(columns)) % BLOCK_PX, columns, BLOCK_PX).astype(
        np.float64)
