"""Tiles of thresholds: every share of them scattered evenly, without low frequencies."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from separations.halftone.blue_noise import cell_thresholds, dot_thresholds, tile_shift
from separations.halftone.void_and_cluster import (
    _NEAR,
    _SCALES,
    _SPARSE_PART,
    _UNIT,
    _scattered,
    dither_ranks,
)


def _power(chosen: NDArray[np.bool_], hexagonal: bool, part: tuple[float, float]) -> float:
    """Mean power of a binary tile between two shares of its dots' own frequency; 1 = white."""
    side, share = len(chosen), chosen.mean()
    spectrum = np.abs(np.fft.fft2(chosen - share)) ** 2 / (chosen.size * share * (1 - share))
    down, along = np.fft.fftfreq(side)[:, None], np.fft.fftfreq(side)[None, :]
    down = (down - along / 2) * 2 / np.sqrt(3) if hexagonal else down
    density = min(share, 1 - share) * (2 / np.sqrt(3) if hexagonal else 1)
    radius = np.hypot(down, along) / np.sqrt(density)
    return float(spectrum[(radius > part[0]) & (radius < part[1])].mean())


@pytest.mark.parametrize("share", [0.02, 0.1, 0.25, 0.5, 0.75, 0.9, 0.98])
def test_shares_have_power_only_at_their_own_frequency(share: float) -> None:
    for thresholds, hexagonal in ((cell_thresholds(), False),
                                  (dot_thresholds() / 65535, True)):
        chosen = thresholds < np.quantile(thresholds, share)
        assert _power(chosen, hexagonal, (0.0, 0.3)) < 0.1
        assert _power(chosen, hexagonal, (0.8, 1.2)) > 0.6
        noise = np.random.default_rng(1).random(chosen.shape) < share
        assert _power(noise, hexagonal, (0.0, 0.3)) > 0.5


def test_cell_thresholds_are_all_different_and_even() -> None:
    thresholds = np.sort(cell_thresholds(), axis=None)
    assert thresholds[0] > 0
    assert thresholds[-1] < 1
    np.testing.assert_allclose(np.diff(thresholds), 1 / thresholds.size, rtol=0.01)


def test_dot_thresholds_are_the_covers_of_triangles_between_printing_dots() -> None:
    thresholds = dot_thresholds()
    for tone in (1000.0, 20_000.0, 32_768.0, 60_000.0):
        on = (thresholds < tone).astype(int)
        after, below = np.roll(on, -1, 1), np.roll(on, -1, 0)
        cover = np.array([0, 0.25, 0.75, 1])
        one, other = on + after + below, after + below + np.roll(below, -1, 1)
        assert (cover[one] + cover[other]).mean() / 2 * 65535 == pytest.approx(tone, abs=2)


def test_ranks_are_a_permutation_and_the_first_keep_apart() -> None:
    steps = np.minimum(np.arange(24.0), 24 - np.arange(24.0))
    ranks = dither_ranks(steps[:, None] ** 2 + steps**2)
    assert (np.sort(ranks, axis=None) == np.arange(576)).all()
    rows, columns = np.nonzero(ranks < 36)
    down, along = (np.abs(p[:, None] - p) for p in (rows, columns))
    apart = np.hypot(np.minimum(down, 24 - down), np.minimum(along, 24 - along))
    assert apart[apart > 0].min() >= 2.8  # a square grid of as many would be 4 apart


def test_no_two_of_twelve_inks_share_a_tile_place() -> None:
    places = np.array([tile_shift(n, 256) for n in range(12)])
    gaps = np.abs(places[:, None] - places)
    apart = np.hypot(*np.moveaxis(np.minimum(gaps, 256 - gaps), -1, 0))
    assert apart[~np.eye(12, dtype=bool)].min() > 30


def _plain_ranks(squared: NDArray[np.float64]) -> NDArray[np.int32]:
    """Void and cluster as it is told, each time looking at all places."""
    side = len(squared)
    kernel = np.rint(sum((weight * np.exp(-squared / (2 * spread**2))
                          for spread, weight in _SCALES), np.zeros_like(squared))
                     * _UNIT).astype(np.int64)
    near = min(_NEAR, side // 2 - 1)
    steps = (np.arange(side) + near) % side <= 2 * near
    reach = np.where(np.outer(steps, steps), kernel, 0)
    dots = np.zeros(side * side, np.bool_)
    dots[_scattered(side * side)[:side * side // _SPARSE_PART]] = True

    def crowding(at: NDArray[np.bool_], of: NDArray[np.int64]) -> NDArray[np.int64]:
        found = np.zeros((side, side), np.int64)
        for place in np.flatnonzero(at):
            found += np.roll(of, divmod(int(place), side), axis=(0, 1))
        return found.ravel()

    def tightest(at: NDArray[np.bool_]) -> int:
        return int(np.argmax(np.where(at, crowding(at, kernel), -1)))

    while True:
        out = tightest(dots)
        dots[out] = False
        back = int(np.argmin(np.where(dots, np.iinfo(np.int64).max, crowding(dots, kernel))))
        dots[back] = True
        if back == out:
            break
    ranks = np.empty(side * side, np.int32)
    sparse = dots.copy()
    for rank in range(int(dots.sum()) - 1, -1, -1):
        out = tightest(dots)
        dots[out], ranks[out] = False, rank
    for rank in range(int(sparse.sum()), side * side):
        least = int(np.argmin(np.where(sparse, np.iinfo(np.int64).max, crowding(sparse, reach))))
        sparse[least], ranks[least] = True, rank
    return ranks.reshape(side, side)


@pytest.mark.parametrize("side", [16, 26])
def test_ranks_are_those_of_looking_at_all_places(side: int) -> None:
    steps = np.minimum(np.arange(float(side)), side - np.arange(float(side)))
    squared = steps[:, None] ** 2 + steps**2
    assert np.array_equal(dither_ranks(squared), _plain_ranks(squared))
