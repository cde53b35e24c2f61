"""The quick look at line work, against chords that are followed to their ends."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.frames.tiled_plane import TILE, TiledPlane, tiled
from separations.measuring.hold.line_scan import LineSuspects, scan_lines
from separations.measuring.hold.line_scan_kernel import _chord, _enough, _width

MOST = 3.7


def _drawing(seed: int) -> NDArray[np.uint8]:
    rng = np.random.default_rng(seed)
    cover = np.zeros((700, 400), np.uint8)
    for _ in range(25):
        one = tuple(int(n) for n in rng.integers(0, 200, 2))
        other = tuple(int(n) for n in rng.integers(0, 200, 2))
        cv2.line(cover, one, other, int(rng.integers(90, 256)), int(rng.integers(1, 9)),
                 cv2.LINE_AA)
    cover[430:500, 250:330] = 255
    cover[450:453, 250:330] = 0
    return cover


def _same(one: LineSuspects, other: LineSuspects) -> bool:
    return all(np.array_equal(getattr(one, name), getattr(other, name))
               for name in ("line_px", "gap_px", "line_count", "gap_count", "faint"))


@pytest.mark.parametrize("seed", range(3))
def test_where_the_plane_has_no_tile_nothing_is_missed(seed: int) -> None:
    cover = tiled(_drawing(seed))
    assert 0 < np.count_nonzero(cover.places) < cover.places.size / 2
    # The same plane with every place taken: none is passed over.
    numbers = np.arange(1, cover.places.size + 1, dtype=np.int32).reshape(cover.places.shape)
    tiles = np.zeros((cover.places.size + 1, TILE, TILE), np.uint8)
    tiles[1:] = cover.tiles[cover.places.ravel()]
    full = TiledPlane(rows=cover.rows, columns=cover.columns, places=numbers, tiles=tiles)
    seen = scan_lines(cover, MOST, 50)
    assert seen.line_count.any()
    assert seen.gap_count.any()
    assert _same(seen, scan_lines(full, MOST, 50))


def test_chords_followed_no_further_than_is_enough_tell_the_same_widths() -> None:
    rng = np.random.default_rng(2)
    short = 0
    for _ in range(3000):
        pixels = np.zeros(60, np.uint8)
        first, many = int(rng.integers(0, 40)), int(rng.integers(1, 30))
        pixels[first:first + many] = rng.integers(128, 256, min(many, 60 - first))
        at = int(rng.integers(first, min(first + many, 60)))
        h = float(rng.uniform(0.5, 12.0))
        whole, enough = (_width(h, _chord(pixels, at, 12, True, limit))
                         for limit in (np.inf, _enough(h, MOST)))
        if whole < MOST:
            assert enough == whole
        else:
            assert enough >= MOST
            short += enough < whole
    assert short > 100
