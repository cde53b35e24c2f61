"""Gradients that run in flat steps, and levels that a picture does not use."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.photo_quality.detail_windows import Tiling

_MOST_LINES_PX = 1_500_000
#: A tread is this long or longer (px) and no neighbours on it differ by more than one level.
_LEAST_TREAD_PX = 5
_MOST_TREAD_PX = 2000
_LONGEST_RISER_PX = 3
#: Heights of steps that show as bands (levels of 255); a normal 8-bit gradient has steps of 1.
_STEP_LEVELS = (3, 40)
_LEAST_LEVELS = 16


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Banding:
    """Steps and missing levels.

    Attributes
    ----------
    stepped : float
        Share (0 to 1) of the scanned lines that lies in stairs: flat treads with steps of like
        height and direction between them.
    step_levels : float
        Median height of those steps (levels of 255); 0 without any.
    missing : float
        Share (0 to 1) of the levels in the picture's range that (nearly) no pixel has.
    local : ndarray of float64, shape of the tiling
        `stepped` by tile.
    """

    stepped: float
    step_levels: float
    missing: float
    local: NDArray[np.float64]


def banding(levels: NDArray[Any], tiles: Tiling, *, top: int = 255) -> Banding:
    """Look for posterised gradients.

    Parameters
    ----------
    levels : ndarray of uint8 or uint16, shape (rows, columns)
        One channel (the green one, where there are three): a mixture would fill levels in.
    tiles : Tiling
        For the local map.
    top : int
        Greatest value.
    """
    eight = levels if top == 255 else (levels >> 8).astype(np.uint8)
    marked = np.zeros((tiles.rows, tiles.columns))
    scanned = np.zeros_like(marked)
    heights: list[NDArray[np.intp]] = []
    for picture, turned in ((eight, False), (eight.T, True)):
        every = max(1, picture.size // _MOST_LINES_PX)
        lines = np.ascontiguousarray(picture[::every]).astype(np.int16)
        if lines.shape[1] < 3 * _LEAST_TREAD_PX:
            continue
        in_stairs, steps = stairs(lines)
        heights.append(steps)
        rows = np.minimum(np.arange(len(lines)) * every // tiles.tile_px,
                          (tiles.columns if turned else tiles.rows) - 1)
        starts = np.arange(0, lines.shape[1], tiles.tile_px)
        by_tile = np.add.reduceat(in_stairs, starts, axis=1, dtype=np.float64)
        widths = np.diff(np.append(starts, lines.shape[1])).astype(np.float64)
        for into, values in ((marked, by_tile), (scanned, np.tile(widths, (len(lines), 1)))):
            view = into.T if turned else into
            np.add.at(view, rows, values)
    steps = np.concatenate(heights) if heights else np.zeros(0, np.intp)
    total = float(scanned.sum())
    return Banding(stepped=float(marked.sum()) / total if total else 0.0,
                   step_levels=float(np.median(steps)) if steps.size else 0.0,
                   missing=missing_levels(eight), local=marked / np.maximum(scanned, 1))


def stairs(lines: NDArray[np.int16]) -> tuple[NDArray[np.bool_], NDArray[np.intp]]:
    """The pixels that lie on stairs, and the heights of their steps.

    Parameters
    ----------
    lines : ndarray of int16, shape (lines, pixels)
        Scan lines, 0 to 255.

    Returns
    -------
    on_stairs : ndarray of bool, shape of ``lines``
    heights : ndarray of intp
    """
    width = lines.shape[1]
    flat = np.zeros(lines.shape, dtype=np.int8)
    flat[:, 1:] = np.abs(np.diff(lines, axis=1)) <= 1
    edges = np.diff(flat, axis=1, append=0, prepend=0).ravel()
    row_width = width + 1
    first = np.flatnonzero(edges == 1)
    last = np.flatnonzero(edges == -1)
    row, start = np.divmod(first, row_width)
    end = last % row_width  # one past the tread's last pixel
    start = start - 1  # the pixel before the first flat difference
    length = end - start
    values = lines.astype(np.intp)
    good = ((length >= _LEAST_TREAD_PX) & (length <= _MOST_TREAD_PX)
            & (np.abs(values[row, end - 1] - values[row, start]) <= 1))
    row, start, end = row[good], start[good], end[good]
    on = np.zeros(lines.shape, dtype=np.bool_)
    if len(row) < 3:
        return on, np.zeros(0, np.intp)
    height = values[row[1:], start[1:]] - values[row[:-1], end[:-1] - 1]
    size = np.abs(height)
    step = ((row[1:] == row[:-1]) & (start[1:] - end[:-1] < _LONGEST_RISER_PX)
            & (size >= _STEP_LEVELS[0]) & (size <= _STEP_LEVELS[1]))
    like = ((np.sign(height[1:]) == np.sign(height[:-1]))
            & (np.abs(size[1:] - size[:-1]) <= np.maximum(1, 0.4 * size[:-1])))
    pair = step[1:] & step[:-1] & like
    treads = np.zeros(len(row), dtype=np.bool_)
    for shift in range(3):
        treads[shift:shift + len(pair)] |= pair
    for r, a, b in zip(row[treads], start[treads], end[treads], strict=True):
        on[r, a:b] = True
    steps = np.zeros(len(step), dtype=np.bool_)
    steps[:-1] |= pair
    steps[1:] |= pair
    return on, size[steps]


def missing_levels(eight: NDArray[np.uint8]) -> float:
    """Share (0 to 1) of the levels between a picture's 1 and 99 per cent that are (nearly) empty.

    0 for a range of fewer than 16 levels. A level is empty where it holds less than a fiftieth of
    the mean of the eight round it.
    """
    every = max(1, eight.shape[0] // 512)
    counts = _level_counts(np.ascontiguousarray(eight[::every]))
    cumulative = np.cumsum(counts) / counts.sum()
    low, high = (int(np.searchsorted(cumulative, share)) for share in (0.01, 0.99))
    if high - low < _LEAST_LEVELS:
        return 0.0
    padded = np.pad(counts[low:high + 1].astype(np.float64), 4, mode="reflect")
    near = np.convolve(padded, np.ones(9) / 9, mode="valid")
    return float(np.mean(counts[low:high + 1] < 0.02 * near))


def _level_counts(eight: NDArray[np.uint8]) -> NDArray[np.int64]:
    """How many pixels have each level; the library counts exactly up to 2²⁴ in one go."""
    counts = np.zeros(256, np.int64)
    rows = max(1, (1 << 24) // eight.shape[1])
    for first in range(0, len(eight), rows):
        some = cv2.calcHist([eight[first:first + rows]], [0], None, [256], [0, 256])
        counts += some.ravel().astype(np.int64)
    return counts
