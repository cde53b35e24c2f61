"""The compiled look at each pixel of line work: runs along rows, and chords across them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preflight.frames.tiled_plane import TILE
from separations.runtime.compiled_code import compiled_on_borrowed_arrays, inner_kernel

#: Coverage (of 255) from which the film prints, from which a pixel holds anything of a line, and
#: from which nothing of a gap.
_PRINTS, _SOMETHING, _ALL = 128, 24, 232

Cover = NDArray[np.uint8]
Counts = NDArray[np.int32]
#: Where a plane has tiles, and the row and column of it at which a cover begins.
Drawn = tuple[NDArray[np.int32], int, int]
#: Least widths and counts of what is finer, tile by tile.
Finest = tuple[NDArray[np.float32], Counts]


@compiled_on_borrowed_arrays
def _chord(pixels: Cover, at: int, follow: int, ink: bool, enough: float = np.inf) -> float:
    """Length of a row's or column's chord of ink, or ground, through a pixel; ends count in part.

    Infinite for a chord of ground that meets no ink on either side. A chord is followed no
    further than to a length that is enough.
    """
    most = 255.0 * enough
    total = 0.0
    for way in (-1, 1):
        k = at if way == 1 else at - 1
        steps = 0
        while 0 <= k < pixels.size and steps < follow:
            value = float(pixels[k])
            share = value if ink else 255.0 - value
            total += share
            if share < 128.0 or total > most:
                break
            k += way
            steps += 1
        else:
            if not ink:
                return np.inf
    return total / 255.0


@compiled_on_borrowed_arrays
def _width(h: float, v: float) -> float:
    """Width of a straight strip from its two chords."""
    if v == np.inf:
        return h
    if h == np.inf:
        return v
    return float(h * v / np.sqrt(h * h + v * v))


@compiled_on_borrowed_arrays
def _enough(h: float, most: float) -> float:
    """The length of the second chord from which a strip of the first, ``h``, is wide enough."""
    if h <= most:
        return np.inf
    return float(1.01 * most * h / np.sqrt(h * h - most * most) + 0.01)


@inner_kernel
def _next_pixel(cover: Cover, drawn: Drawn, r: int, c: int) -> int:
    """The next column from c on with something of a line, else that past the last.

    ``drawn`` tells where the plane has tiles, and at which of its pixels the cover begins.
    """
    places, top, left = drawn
    row = (r + top) // TILE
    while c < cover.shape[1]:
        tile = (c + left) // TILE
        end = min((tile + 1) * TILE - left, cover.shape[1])
        if places[row, tile]:
            while c < end and cover[r, c] < _SOMETHING:
                c += 1
            if c < end:
                return c
        c = end
    return c


@inner_kernel
def _run(cover: Cover, r: int, c: int) -> tuple[int, int, float]:
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


@inner_kernel
def _extremes_near(cover: Cover, r: int, c: int) -> tuple[int, int]:
    """The least and the greatest cover at most two pixels away."""
    least = most = cover[r, c]
    for row in range(max(r - 2, 0), min(r + 3, cover.shape[0])):
        for column in range(max(c - 2, 0), min(c + 3, cover.shape[1])):
            least = min(least, cover[row, column])
            most = max(most, cover[row, column])
    return least, most


@inner_kernel
def _filled(cover: Cover, r: int, start: int, end: int, tile: int, faint: Counts) -> None:
    """Count the middles of gaps in the run of which nothing near stays open."""
    for c in range(max(start, 1), min(end, cover.shape[1] - 1)):
        value = cover[r, c]
        if value >= _ALL or r == 0 or r == cover.shape[0] - 1:
            continue
        if ((value <= cover[r, c - 1] and value < cover[r, c + 1])
                or (value <= cover[r - 1, c] and value < cover[r + 1, c])) and (
                _extremes_near(cover, r, c)[0] >= _PRINTS):
            faint[r // tile, c // tile] += 1


@inner_kernel
def _keep_least(tiles: Finest, r: int, c: int, tile: int, width: float, most: float) -> None:
    widths, counts = tiles
    if width < most:
        counts[r // tile, c // tile] += 1
        widths[r // tile, c // tile] = min(width, widths[r // tile, c // tile])


@inner_kernel
def _ground_width(cover: Cover, r: int, c: int, follow: int) -> float:
    return _width(_chord(cover[r], c, follow, False),
                  _chord(cover[:, c], r, follow, False))


@inner_kernel
def _look_at_pixel(  # noqa: PLR0913
    cover: Cover, r: int, c: int, h: float, most: float, follow: int, tile: int, line: Finest,
    gap: Finest,
) -> None:
    """One pixel of a line: how wide the line is there, and the gap below it, if one begins."""
    if cover[r, c] < _PRINTS:
        return
    v = _chord(cover[:, c], r, follow, True, _enough(h, most))
    _keep_least(line, r, c, tile, _width(h, v), most)
    if r + 1 < cover.shape[0] and cover[r + 1, c] < _PRINTS:
        v = _chord(cover[:, c], r + 1, follow, False)
        if v < most:
            below = min(r + 1 + int(v / 2), cover.shape[0] - 1)
            width = _width(_chord(cover[below], c, follow, False), v)
            _keep_least(gap, below, c, tile, width, most)


@compiled_on_borrowed_arrays
def scan(
    cover: Cover, drawn: Drawn, most: float, follow: int, tile: int, line: Finest, gap: Finest,
    faint: Counts,
) -> None:
    """Look at each run of a plane's rows: how wide its lines and the gaps between them are.

    Parameters
    ----------
    cover : NDArray of uint8, shape (rows, columns)
        Part of a plane of coverage, 255 for ink.
    drawn : tuple
        The plane's places of tiles, as `preflight.frames.tiled_plane.TiledPlane` has them, and
        the row and the column of it at which the part begins.
    most : float
        Widths (pixels) from which lines and gaps are wide enough.
    follow : int
        Pixels that a chord is followed each way.
    tile : int
        Side of a tile of the results (pixels).
    line, gap : tuple of NDArray, shapes (tile rows, tile columns)
        Least widths (float32) and counts of what is finer (int32), as
        `separations.measuring.hold.line_scan.LineSuspects` has them; changed.
    faint : NDArray of int32, shape (tile rows, tile columns)
        Likewise; added to.
    """
    for r in range(cover.shape[0]):
        c, last_end = 0, -1
        while True:
            c = _next_pixel(cover, drawn, r, c)
            if c >= cover.shape[1]:
                break
            start, c, h = _run(cover, r, c)
            if h < 0:
                best = int(-h) - 1
                faint[r // tile, best // tile] += _extremes_near(cover, r, best)[1] < _PRINTS
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
