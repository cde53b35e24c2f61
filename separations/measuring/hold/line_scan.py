"""Where line work may be too fine: one quick look at each of its pixels."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preflight.frames.tiled_plane import TILE, TiledPlane
from separations.measuring.hold.line_scan_kernel import scan

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
        ends = [(part.start * tile_px, min(part.stop * tile_px, side))
                for part, side in zip(around, cover.shape, strict=True)]
        pixels = cover.window(*ends[0], *ends[1])
        seen = _nothing(tile_px, pixels.shape)
        scan(np.ascontiguousarray(pixels), (cover.places, ends[0][0], ends[1][0]),
             np.float64(most_px), follow, tile_px,
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
