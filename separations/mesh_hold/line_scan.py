"""Where line work may be too fine: one quick look at each of its pixels."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray

#: Coverage (of 255) from which the film prints, and from which a pixel holds anything of a line.
_PRINTS, _SOMETHING = 128, 24
#: Chords are followed this many times the width that still matters.
_FOLLOWED = 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LineSuspects:
    """Tile by tile, how fine the lines and the gaps between them may be.

    Attributes
    ----------
    tile_px : int
        Side of a tile (plane pixels).
    line_px, gap_px : NDArray of float32, shape (tile rows, tile columns)
        Least width from two chords (plane pixels); infinite where nothing is fine.
    faint : NDArray of int32, shape (tile rows, tile columns)
        Runs of pixels that hold something of a line, but too little for the film to print.
    """

    tile_px: int
    line_px: NDArray[np.float32]
    gap_px: NDArray[np.float32]
    faint: NDArray[np.int32]


def scan_lines(cover: NDArray[np.uint8], most_px: float, tile_px: int) -> LineSuspects:
    """Look through a sheet of line work for what may be finer than a width.

    Parameters
    ----------
    cover : NDArray of uint8, shape (rows, columns)
        Coverage, 255 for ink.
    most_px : float
        The width (plane pixels) up to which lines and gaps are told.
    tile_px : int
        Side of a tile (plane pixels).

    Notes
    -----
    A straight strip's chords h along a row and v along a column give its width h v / √(h² + v²).
    """
    rows, columns = (-(-side // tile_px) for side in cover.shape)
    line = np.full((rows, columns), np.inf, np.float32)
    gap = np.full((rows, columns), np.inf, np.float32)
    faint = np.zeros((rows, columns), np.int32)
    _scan(cover, np.float64(most_px), int(np.ceil(_FOLLOWED * most_px)) + 1, tile_px, line, gap,
          faint)
    return LineSuspects(tile_px=tile_px, line_px=line, gap_px=gap, faint=faint)


@njit(cache=True, nogil=True, error_model="numpy")
def _chord_down(cover, r, c, follow, ink):  # type: ignore[no-untyped-def]
    """Length of the column's chord of ink, or of ground, through a pixel; the ends count in part.

    Infinite for a chord of ground that meets no ink on either side.
    """
    total = 0.0
    for way in (-1, 1):
        k = r if way == 1 else r - 1
        steps = 0
        while 0 <= k < cover.shape[0] and steps < follow:
            value = float(cover[k, c])
            share = value if ink else 255.0 - value
            total += share
            if share < 128.0:
                break
            k += way
            steps += 1
        else:
            if not ink:
                return np.inf
    return total / 255.0


@njit(cache=True, nogil=True, error_model="numpy")
def _width(h, v):  # type: ignore[no-untyped-def]
    """Width of a straight strip from its two chords."""
    if v == np.inf:
        return h
    if h == np.inf:
        return v
    return h * v / np.sqrt(h * h + v * v)


@njit(cache=True, nogil=True, error_model="numpy")
def _chord_across(cover, r, c, follow, ink):  # type: ignore[no-untyped-def]
    """As `_chord_down`, along the row."""
    total = 0.0
    for way in (-1, 1):
        k = c if way == 1 else c - 1
        steps = 0
        while 0 <= k < cover.shape[1] and steps < follow:
            value = float(cover[r, k])
            share = value if ink else 255.0 - value
            total += share
            if share < 128.0:
                break
            k += way
            steps += 1
        else:
            if not ink:
                return np.inf
    return total / 255.0


@njit(cache=True, nogil=True, error_model="numpy")
def _run(cover, r, c):  # type: ignore[no-untyped-def]
    """The run of pixels that hold something from (r, c) on: its end, sum, peak and where."""
    total, peak, best = 0.0, 0, c
    while c < cover.shape[1] and cover[r, c] >= _SOMETHING:
        value = cover[r, c]
        total += value
        if value > peak:
            peak, best = value, c
        c += 1
    return c, total / 255.0, peak, best


@njit(cache=True, nogil=True, error_model="numpy")
def _prints_near(cover, r, c):  # type: ignore[no-untyped-def]
    """Whether a pixel of the column, at most two away, prints."""
    for k in range(max(r - 2, 0), min(r + 3, cover.shape[0])):
        if cover[k, c] >= _PRINTS:
            return True
    return False


@njit(cache=True, nogil=True, error_model="numpy")
def _keep_least(widths, r, c, tile, width, most):  # type: ignore[no-untyped-def]
    if width < most and width < widths[r // tile, c // tile]:
        widths[r // tile, c // tile] = width


@njit(cache=True, nogil=True, error_model="numpy")
def _ground_width(cover, r, c, follow):  # type: ignore[no-untyped-def]
    return _width(_chord_across(cover, r, c, follow, False),
                  _chord_down(cover, r, c, follow, False))


@njit(cache=True, nogil=True, error_model="numpy")
def _look_at_pixel(cover, r, c, h, most, follow, tile, line, gap):  # type: ignore[no-untyped-def]  # noqa: PLR0913
    """One pixel of a line: how wide the line is there, and the gap below it, if one begins."""
    if cover[r, c] < _PRINTS:
        return
    _keep_least(line, r, c, tile, _width(h, _chord_down(cover, r, c, follow, True)), most)
    if r + 1 < cover.shape[0] and cover[r + 1, c] < _PRINTS:
        v = _chord_down(cover, r + 1, c, follow, False)
        if v < most:
            below = min(r + 1 + int(v / 2), cover.shape[0] - 1)
            width = _width(_chord_across(cover, below, c, follow, False), v)
            _keep_least(gap, below, c, tile, width, most)


@njit(cache=True, nogil=True, error_model="numpy")
def _scan(cover, most, follow, tile, line, gap, faint):  # type: ignore[no-untyped-def]  # noqa: PLR0913
    for r in range(cover.shape[0]):
        c, last_end = 0, -1
        while True:
            while c < cover.shape[1] and cover[r, c] < _SOMETHING:
                c += 1
            if c >= cover.shape[1]:
                break
            start = c
            c, h, peak, best = _run(cover, r, start)
            if peak < _PRINTS:
                faint[r // tile, best // tile] += not _prints_near(cover, r, best)
                continue
            if last_end >= 0 and start - last_end < most + 2:
                middle = (start + last_end) // 2
                _keep_least(gap, r, middle, tile, _ground_width(cover, r, middle, follow), most)
            last_end = c
            if h < most:
                _look_at_pixel(cover, r, (start + c) // 2, h, most, follow, tile, line, gap)
            else:
                for k in range(start, c, 2):
                    _look_at_pixel(cover, r, k, h, most, follow, tile, line, gap)
