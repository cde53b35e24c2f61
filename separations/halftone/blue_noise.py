"""Tiles that scatter without clumping: made once a process, the same everywhere."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from separations.halftone.void_and_cluster import dither_ranks

#: Cells along a tile of a halftone's cells: 72 mm at 45 lines an inch before it comes again.
CELLS_A_TILE = 128
#: Dots along a tile of scattered dots: 44 mm for dots of 150 µm.
DOTS_A_TILE = 256


def tile_shift(pattern: int, side: int) -> tuple[int, int]:
    """How far (rows, columns) the tile of the n-th ink is moved, so that no two coincide.

    The shifts fill a square evenly whatever their number (the plane's two-number sequence of
    the root of x³ = x + 1).
    """
    return (round(pattern * 0.7548776662466927 % 1.0 * side),
            round(pattern * 0.5698402909980532 % 1.0 * side))


@lru_cache(maxsize=1)
def cell_thresholds() -> NDArray[np.float32]:
    """Thresholds (above 0, below 1) of halftone cells, evenly spread; not to be written to.

    Returns
    -------
    NDArray of float32, shape (128, 128)
        Cells whose threshold is under s are a share s of the tile, without low frequencies.
    """
    ranks = dither_ranks(_square_torus(CELLS_A_TILE))
    thresholds = ((ranks + 0.5) / ranks.size).astype(np.float32)
    thresholds.setflags(write=False)
    return thresholds


def _square_torus(side: int) -> NDArray[np.float64]:
    """Squared distances from place (0, 0), shape (side, side)."""
    steps = np.arange(side, dtype=np.float64)
    short = np.minimum(steps, side - steps)
    return np.asarray(short[:, None] ** 2 + short**2)


@lru_cache(maxsize=1)
def dot_thresholds() -> NDArray[np.float32]:
    """The tone from which each dot of a hexagonal tile prints; not to be written to.

    Returns
    -------
    NDArray of float32, shape (256, 256)
        Tones, 65535 = solid. Row k holds the dots at (m + k/2) spacings, m = 0 to 255.

    Notes
    -----
    Film between three dots is inked where most of it is nearer to printing ones: a corner (a
    quarter) of the triangle between them for one of three, all but a corner for two. So
    the cover of the tile with its first n dots is a sum over triangles, and is exact; each dot's
    threshold lies midway between the covers without and with it.
    """
    ranks = dither_ranks(_hexagonal_torus(DOTS_A_TILE)).astype(np.int64)
    after, below = np.roll(ranks, -1, axis=1), np.roll(ranks, -1, axis=0)
    triangles = np.stack([np.stack([ranks, after, below]),
                          np.stack([after, below, np.roll(below, -1, axis=1)])])
    first, second, third = np.sort(triangles, axis=1).transpose(1, 0, 2, 3)
    gain = sum(share * np.bincount(rank.ravel(), minlength=ranks.size)
               for share, rank in ((0.25, first), (0.5, second), (0.25, third)))
    cover = np.cumsum(gain) - gain / 2
    thresholds = (cover / (2 * ranks.size) * 65535).astype(np.float32)[ranks]
    thresholds.setflags(write=False)
    return thresholds


def _hexagonal_torus(side: int) -> NDArray[np.float64]:
    """Squared distances from place (0, 0) of a tile whose rows are each set in by a half."""
    steps = np.arange(side, dtype=np.float64)
    ways = [down**2 + along**2 + down * along
            for down in ((steps - turn)[:, None] for turn in (0, side))
            for along in ((steps - turn)[None, :] for turn in (-side, 0, side, 2 * side))]
    return np.asarray(np.minimum.reduce(ways))
