"""Where line work may be too fine: one quick look at each of its pixels."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray

from preflight.tiled_plane import TILE, TiledPlane

#: Coverage (of 255) from which the film prints, from which a pixel holds anything of a line, and
#: from which nothing of a gap.
_PRINTS, _SOMETHING, _ALL = 128, 24, 232
#: Chords are followed this many times the width that still matters.
_FOLLOWED = 3

#: Plane rows looked at in one go.
_ROWS_AT_ONCE = 512

@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LineSuspects:
    """Tile by tile, how fine the lines and the gaps between them may be.

    Attributes
    ----------
    tile_px : int
        Side of a tile (plane pixels).
    line_px, gap_px : NDArray of float32, shape (tile rows, tile columns)
        Least width from two chords (plane pixels); infinite where nothing is fine.
    line_count, gap_count : NDArray of int32, shape (tile rows, tile columns)
        How many pixels looked at are fine.
    faint : NDArray of int32, shape (tile rows, tile columns)
        Runs of pixels that hold something of a line, but too little for the film to print; and
        pixels that hold something of a gap, but too little for the film to leave open.
    """

    tile_px: int
    line_px: NDArray[np.float32]
    gap_px: NDArray[np.float32]
    line_count: NDArray[np.int32]
    gap_count: NDArray[np.int32]
    faint: NDArray[np.int32]


def scan_lines(cover: TiledPlane, most_px: float, tile_px: int) -> LineSuspects:
    """Look through a sheet of line work for what may be finer than a width.

    Parameters
    ----------
    cover : TiledPlane
        Coverage, 255 for ink.
    most_px : float
        The width (plane pixels) up to which lines and gaps are told.
    tile_px : int
        Side of a tile (plane pixels).

    Notes
    -----
    A straight strip's chords h along a row and v along a column give its width h v / √(h² + v²).
    """
    found = _nothing(tile_px, cover.shape)
    follow = int(np.ceil(_FOLLOWED * most_px)) + 1
    beside = -(-(follow + int(most_px) + 4) // tile_px)
    whole = found.line_px.shape
    for rows, columns in _busy_parts(cover, tile_px):
        # What lies beside a part decides how wide it is; what is found beside it is not its own.
        around = [slice(max(part.start - beside, 0), min(part.stop + beside, most))
                  for part, most in zip((rows, columns), whole, strict=True)]
        pixels = cover.window(*(end for part, side in zip(around, cover.shape, strict=True)
                                for end in (part.start * tile_px, min(part.stop * tile_px, side))))
        seen = _nothing(tile_px, pixels.shape)
        _scan(np.ascontiguousarray(pixels), np.float64(most_px), follow, tile_px,
              (seen.line_px, seen.line_count), (seen.gap_px, seen.gap_count), seen.faint)
        inner = tuple(slice(part.start - wide.start, part.stop - wide.start)
                      for part, wide in zip((rows, columns), around, strict=True))
        for name in ("line_px", "gap_px", "line_count", "gap_count", "faint"):
            getattr(found, name)[rows, columns] = getattr(seen, name)[inner]
    return found


def _nothing(tile_px: int, shape: tuple[int, ...]) -> LineSuspects:
    tiles = tuple(-(-side // tile_px) for side in shape)
    return LineSuspects(
        tile_px=tile_px, line_px=np.full(tiles, np.inf, np.float32),
        gap_px=np.full(tiles, np.inf, np.float32), line_count=np.zeros(tiles, np.int32),
        gap_count=np.zeros(tiles, np.int32), faint=np.zeros(tiles, np.int32))


def _busy_parts(cover: TiledPlane, tile_px: int) -> Iterator[tuple[slice, slice]]:
    """Rows and columns of tiles, a few rows at a time, outside which nothing is drawn."""
    rows = max(1, _ROWS_AT_ONCE // tile_px)
    for first in range(0, -(-cover.rows // tile_px), rows):
        end = min(first + rows, -(-cover.rows // tile_px))
        held = np.flatnonzero(cover.places[first * tile_px // TILE:
                                           -(-end * tile_px // TILE)].any(axis=0))
        if len(held):
            right = min(int(held[-1] + 1) * TILE, cover.columns)
            yield slice(first, end), slice(int(held[0]) * TILE // tile_px, -(-right // tile_px))


@njit(cache=True, nogil=True, error_model="numpy")
def _chord(pixels, at, follow, ink):  # type: ignore[no-untyped-def]
    """Length of a row's or column's chord of ink, or ground, through a pixel; ends count in part.

    Infinite for a chord of ground that meets no ink on either side.
    """
    total = 0.0
    for way in (-1, 1):
        k = at if way == 1 else at - 1
        steps = 0
        while 0 <= k < pixels.size and steps < follow:
            value = float(pixels[k])
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
def _run(cover, r, c):  # type: ignore[no-untyped-def]
    """The next run that prints, from (r, c), where something begins: where, its end, and length.

    Pale pixels before and behind count in part. Where pale pixels end without a run, its start
    and end are where they end, and the third is the palest's negative place.
    """
    before, best = 0.0, c
    while c < cover.shape[1] and _SOMETHING <= cover[r, c] < _PRINTS:
        before = float(cover[r, c])
        if cover[r, c] > cover[r, best]:
            best = c
        c += 1
    if c >= cover.shape[1] or cover[r, c] < _SOMETHING:
        return c, c, -float(best + 1)
    start, total = c, before
    while c < cover.shape[1] and cover[r, c] >= _PRINTS:
        total += cover[r, c]
        c += 1
    if c < cover.shape[1]:
        total += cover[r, c]
    return start, c, total / 255.0


@njit(cache=True, nogil=True, error_model="numpy")
def _prints_near(cover, r, c):  # type: ignore[no-untyped-def]
    """Whether a pixel at most two away prints."""
    return cover[max(r - 2, 0):r + 3, max(c - 2, 0):c + 3].max() >= _PRINTS


@njit(cache=True, nogil=True, error_model="numpy")
def _filled(cover, r, start, end, tile, faint):  # type: ignore[no-untyped-def]
    """Count the middles of gaps in the run of which nothing near stays open."""
    for c in range(max(start, 1), min(end, cover.shape[1] - 1)):
        value = cover[r, c]
        if value >= _ALL or r == 0 or r == cover.shape[0] - 1:
            continue
        if ((value <= cover[r, c - 1] and value < cover[r, c + 1])
                or (value <= cover[r - 1, c] and value < cover[r + 1, c])) and (
                cover[max(r - 2, 0):r + 3, max(c - 2, 0):c + 3].min() >= _PRINTS):
            faint[r // tile, c // tile] += 1


@njit(cache=True, nogil=True, error_model="numpy")
def _keep_least(tiles, r, c, tile, width, most):  # type: ignore[no-untyped-def]
    widths, counts = tiles
    if width < most:
        counts[r // tile, c // tile] += 1
        widths[r // tile, c // tile] = min(width, widths[r // tile, c // tile])


@njit(cache=True, nogil=True, error_model="numpy")
def _ground_width(cover, r, c, follow):  # type: ignore[no-untyped-def]
    return _width(_chord(cover[r], c, follow, False),
                  _chord(cover[:, c], r, follow, False))


@njit(cache=True, nogil=True, error_model="numpy")
def _look_at_pixel(cover, r, c, h, most, follow, tile, line, gap):  # type: ignore[no-untyped-def]  # noqa: PLR0913
    """One pixel of a line: how wide the line is there, and the gap below it, if one begins."""
    if cover[r, c] < _PRINTS:
        return
    _keep_least(line, r, c, tile, _width(h, _chord(cover[:, c], r, follow, True)), most)
    if r + 1 < cover.shape[0] and cover[r + 1, c] < _PRINTS:
        v = _chord(cover[:, c], r + 1, follow, False)
        if v < most:
            below = min(r + 1 + int(v / 2), cover.shape[0] - 1)
            width = _width(_chord(cover[below], c, follow, False), v)
            _keep_least(gap, below, c, tile, width, most)


@njit(cache=True, nogil=True, error_model="numpy")
def _scan(cover, most, follow, tile, line, gap, faint):  # type: ignore[no-untyped-def]
    for r in range(cover.shape[0]):
        c, last_end = 0, -1
        while True:
            while c < cover.shape[1] and cover[r, c] < _SOMETHING:
                c += 1
            if c >= cover.shape[1]:
                break
            start, c, h = _run(cover, r, c)
            if h < 0:
                best = int(-h) - 1
                faint[r // tile, best // tile] += not _prints_near(cover, r, best)
                continue
            if last_end >= 0 and start - last_end < most + 2:
                middle = (start + last_end) // 2
                _keep_least(gap, r, middle, tile, _ground_width(cover, r, middle, follow), most)
            last_end = c
            _filled(cover, r, start, c, tile, faint)
            if h < most:
                _look_at_pixel(cover, r, (start + c) // 2, h, most, follow, tile, line, gap)
            else:
                for k in range(start, c, 2):
                    _look_at_pixel(cover, r, k, h, most, follow, tile, line, gap)
