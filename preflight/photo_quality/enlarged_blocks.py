"""The edges of JPEG's blocks in a picture that was enlarged after it was compressed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.photo_quality.detail_windows import Tiling

#: Pixels for each true one in which steps are sought: a step then takes about two of them.
_PER_TRUE = 2.0
#: A block is 8 true pixels wide, and these are told within 15 % for most pictures, within 40 % for
#: those that were compressed much.
_LEAST_PX, _MOST_PX = 11.0, 22.0
#: Harmonics of the grid that must stand out, and by how much over the usual amplitude, in both
#: directions: clean pictures of the corpus reach 2.2, most of JPEG 75 pass 4.
_HARMONICS, _SURE = (1, 2, 3), 4.0
#: Neighbours beside a step differ by no more than this, a step by no more than that (of 255).
_SMOOTH, _TALLEST = 8.0, 24.0
_LAG = 2
_LEAST_SAMPLES = 30
_MOST_LINES_PX = 2_000_000
#: Pictures that are worth more were not enlarged enough to tell.
MOST_SHARE = 0.75


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EnlargedBlocks:
    """Steps at the edges of enlarged blocks.

    Attributes
    ----------
    step : float
        Height of the steps in smooth parts (levels of 255), the mean of both directions; 0 where
        there are none.
    block_px : float
        Side of a block in the picture's pixels.
    local : ndarray of float64, shape of the tiling
        `step` by tile.
    """

    step: float
    block_px: float
    local: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Lines:
    """Excess of the step at each pixel border over those beside it, in lines of one direction."""

    excess: NDArray[np.float32]
    smooth: NDArray[np.bool_]
    mean: NDArray[np.float64]
    every: int


def enlarged_blocks(grey: NDArray[Any], tiles: Tiling, *, share: float | None,
                    top: int = 255) -> EnlargedBlocks:
    """Look for the grid of blocks at the size to which an enlargement brings it.

    Parameters
    ----------
    grey : ndarray of uint8 or uint16, shape (rows, columns)
        Encoded lightness.
    tiles : Tiling
        For the local map.
    share : float or None
        True pixels to one pixel along a line, as `true_resolution` tells it.
    top : int
        Greatest value.

    Notes
    -----
    Steps are averaged along columns and rows; a grid shows in the spectra of both averages as a
    comb of one period, which fences and bricks do not. Own method.
    """
    none = EnlargedBlocks(step=0.0, block_px=0.0, local=np.zeros((tiles.rows, tiles.columns)))
    if share is None or share >= MOST_SHARE:
        return none
    scale = _PER_TRUE * share
    ways = [_lines(grey, scale, top), _lines(grey.T, scale, top)]
    if min(len(way.mean) for way in ways) < 8 * _MOST_PX:
        return none
    period = _period([way.mean for way in ways])
    if period is None:
        return none
    columns = _steps(ways[0], period, tiles, scale)
    rows = _steps(ways[1], period, Tiling(tile_px=tiles.tile_px, rows=tiles.columns,
                                          columns=tiles.rows), scale)
    if min(columns[0], rows[0]) <= 0:
        return none
    return EnlargedBlocks(step=(columns[0] + rows[0]) / 2, block_px=period / scale,
                          local=(columns[1] + rows[1].T) / 2)


def _lines(grey: NDArray[Any], scale: float, top: int) -> _Lines:
    """Some lines of a picture, scaled along, and how their steps stand out."""
    every = max(1, grey.size // _MOST_LINES_PX)
    picked = np.ascontiguousarray(grey[::every])
    size = max(1, round(picked.shape[1] * scale)), len(picked)
    lines = cv2.resize(picked, size, interpolation=cv2.INTER_AREA if scale < 1 else
                       cv2.INTER_CUBIC).astype(np.float32) * np.float32(255 / top)
    across = np.abs(lines[:, _LAG:] - lines[:, :-_LAG])
    if across.shape[1] <= 2 * _LAG:
        return _Lines(excess=across, smooth=across > 0, mean=np.zeros(0), every=every)
    middle, beside = across[:, _LAG:-_LAG], across[:, :-2 * _LAG] + across[:, 2 * _LAG:]
    smooth = (beside <= _SMOOTH) & (middle <= _TALLEST)
    excess = np.where(smooth, middle - beside / 2, np.float32(0))
    count = smooth.sum(axis=0)
    mean = np.where(count > _LEAST_SAMPLES,
                    excess.sum(axis=0, dtype=np.float64) / np.maximum(count, 1), 0.0)
    return _Lines(excess=excess, smooth=smooth, mean=mean, every=every)


def _period(means: list[NDArray[np.float64]]) -> float | None:
    """The period (px) of a comb in both averages; None where there is none."""
    bins = 8 << int(np.ceil(np.log2(max(map(len, means)))))
    at = np.arange(int(bins / _MOST_PX), int(bins / _LEAST_PX) + 1)
    usual = slice(bins // 50, bins // 3)
    weakest = np.full(len(at), np.inf)
    for mean in means:
        level = mean - cv2.blur(mean.reshape(1, -1), (33, 1)).ravel()
        amplitude = np.abs(np.fft.rfft(level * np.hanning(len(level)), bins))
        floor = float(np.median(amplitude[usual]))
        if floor <= 0:
            return None
        for harmonic in _HARMONICS:
            weakest = np.minimum(weakest, amplitude[harmonic * at] / floor)
    best = int(np.argmax(weakest))
    return float(bins / at[best]) if weakest[best] > _SURE else None


def _steps(lines: _Lines, period: float, tiles: Tiling, scale: float
           ) -> tuple[float, NDArray[np.float64]]:
    """Height of the steps (levels of 255), and by tile, with lines across the tiling's rows."""
    many = len(lines.mean)
    phases = round(period)
    phase = (np.arange(many) % period * phases / period).astype(int) % phases
    total = np.bincount(phase, lines.excess.sum(axis=0, dtype=np.float64), phases)
    means = total / np.maximum(np.bincount(phase, lines.smooth.sum(axis=0), phases), 1)
    peak = int(np.argmax(means))
    others = means[(peak + np.arange(2 * _LAG, phases - 2 * _LAG + 1)) % phases]
    chance = float(others.max())  # the control: what the grid would show laid elsewhere
    local = np.zeros((tiles.rows, tiles.columns))
    at = np.flatnonzero(phase == peak)
    rows = np.minimum(np.arange(len(lines.excess)) * lines.every // tiles.tile_px, tiles.rows - 1)
    columns = np.minimum(((at + _LAG) / scale // tiles.tile_px).astype(int), tiles.columns - 1)
    spots = (rows[:, None] * tiles.columns + columns).ravel()
    sums = np.bincount(spots, lines.excess[:, at].ravel(), local.size)
    number = np.bincount(spots, lines.smooth[:, at].ravel(), local.size)
    enough = number >= 50
    local.ravel()[enough] = np.maximum(sums[enough] / number[enough] - chance, 0)
    return float(means[peak] - chance), local
