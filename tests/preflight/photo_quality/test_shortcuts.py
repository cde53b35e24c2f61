"""What is reckoned once, counted or read off, against the plain reckoning."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.photo_quality import banding
from preflight.photo_quality.detail_windows import picture_tiles
from preflight.photo_quality.enlargement_models import KERNELS, spectrum_models
from preflight.photo_quality.noise import cell_noise
from preflight.photo_quality.spectrum_fit import misfits


@pytest.mark.parametrize("step", [1, 2])
def test_shares_of_tiles_are_their_means(step: int) -> None:
    height, width = 301, 470
    tiles = picture_tiles(height, width)
    marked = np.random.default_rng(1).uniform(0, 1, (height, width))[::step, ::step] < 0.3
    shares = tiles.shares(marked, step)
    assert shares.shape == (tiles.rows, tiles.columns)
    for row in range(tiles.rows):
        for column in range(tiles.columns):
            left, upper, right, lower = (at / step for at in
                                         tiles.box_px(row, column, height, width))
            part = marked[int(upper):int(np.ceil(lower)), int(left):int(np.ceil(right))]
            assert shares[row, column] == pytest.approx(part.mean())


def test_levels_are_counted_beyond_what_single_precision_holds() -> None:
    eight = np.zeros((3, 1 << 23), np.uint8)  # one less than 25,165,824 takes 25 bits
    eight[1, 5] = 7
    counts = banding._level_counts(eight)
    assert counts[0] == 3 * (1 << 23) - 1
    assert counts[7] == counts[1:].sum() == 1


def test_noise_of_eight_bits_is_that_of_the_same_levels_in_sixteen() -> None:
    rng = np.random.default_rng(2)
    grey = np.clip(120 + rng.normal(0, 9, (700, 900)), 0, 255).astype(np.uint8)
    lightness = np.linspace(0, 10, 256)**2
    eight = cell_noise(grey, 3.0, lightness)
    sixteen = cell_noise(grey.astype(np.uint16) * 257, 3.0, lightness, top=65_535)
    assert eight.l_star == pytest.approx(sixteen.l_star, rel=1e-5)
    assert eight.is_fine == sixteen.is_fine


@pytest.mark.parametrize("few", [False, True])
def test_misfits_are_the_weighted_squares_of_the_log_powers_error(few: bool) -> None:
    models = spectrum_models(32, few=few)
    rng = np.random.default_rng(3)
    for number in (0, 40, len(models.kernel) - 1):
        shape = np.exp(models.log_power[number])
        power = np.concatenate([[1, 1], 0.3 * shape / shape.min()]) + 0.05
        power *= np.exp(rng.normal(0, 0.1, 33))
        found = misfits(power, models)
        again = misfits(power.copy(), models)
        assert np.array_equal(found, again)
        k = np.arange(2, 33)
        weight = k**-0.5 / (k**-0.5).sum()
        seen, best = power[2:], np.full(len(found), np.inf)
        quiet = float(np.sort(seen)[:4].mean())
        for floor in (1 / 24, 1 / 12, *(s * quiet for s in (0.3, 0.6, 0.9, 1.05))):
            if floor > max(1.06 * quiet, 1 / 12):
                continue
            for model in range(len(found)):
                low = np.where(k < max(models.edge[model] * 0.8 * 32, 4.5), weight, 0)
                above = np.log(np.maximum(seen - floor, 0.05 * seen))
                level = ((above - models.log_power[model]) * low).sum() / low.sum()
                shape = np.exp(level + models.log_power[model])
                error = np.abs(np.log(seen) - np.log(shape + floor))
                best[model] = min(best[model], (np.minimum(error, 3)**2 * weight).sum())
        plain = (best + 0.012 * (models.slope - 2)**2) * models.handicap
        plain += 0.003 * np.sign(np.round(models.handicap - 1.0, 3))
        assert np.allclose(found, plain, rtol=1e-9, atol=1e-12)


def test_models_of_all_finishes_are_the_folded_power_through_the_kernel() -> None:
    bins, slopes = 16, np.arange(1.2, 3.3, 0.4)
    models = spectrum_models(bins)
    grid, reach = np.arange(0, 9, 0.01), np.arange(-4.0, 4.0, 1 / 64)
    table = {name: np.abs(np.cos(2 * np.pi * grid[:, None] * reach) @ kernel(reach))
             / kernel(reach).sum() for name, kernel in KERNELS.items()}
    names, edges = np.array(models.kernel), models.edge
    for name in KERNELS:
        for edge in np.unique(edges[names == name])[[0, 17, -1]]:
            plain = np.zeros((3, len(slopes), bins - 1))
            for offset, weight in ((0.0, 1.0), (0.7, 0.5), (-0.7, 0.5)):
                u = (np.arange(2, bins + 1) + offset) / bins
                power = np.zeros_like(plain)
                for folded in (u, np.abs(2 - u)):
                    cycles = folded / 2 / edge
                    base = 2 * np.maximum(np.abs(cycles - np.round(cycles)), 0.175 / bins / edge)
                    fall = (base * edge)**-slopes[:, None] * np.sinc(base / 2)**2
                    passed = np.interp(cycles, grid, table[name])**2
                    soft = 2**(-2 * (base / 0.75)**2)
                    power += np.stack([fall * passed, fall * soft * passed, fall * passed])
                power[2] *= (2 - np.exp(-0.5 * (np.pi * u * 1.2)**2))**2
                plain += weight * power
            rows = np.flatnonzero((names == name) & (edges == edge))
            assert len(rows) == 3 * len(slopes)
            assert np.allclose(models.log_power[rows], np.log(plain).reshape(-1, bins - 1))
