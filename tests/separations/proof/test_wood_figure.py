"""The invented bamboo: its statistics, its direction, and the same wood at any pixel pitch."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.frames.raster_grid import RasterGrid, grid_over
from separations.proof.wood_figure import bamboo_figure

BOARD = (-790.0, -150.0, 790.0, 150.0)


@pytest.mark.parametrize("seed", [1, 2, 158])
def test_a_board_is_about_one_with_a_gentle_spread(seed: int) -> None:
    figure = bamboo_figure(grid_over(BOARD, 1.0), seed)
    assert figure.dtype == np.float32
    assert figure.mean() == pytest.approx(1.0, abs=0.015)
    assert 0.025 < figure.std() < 0.05
    assert figure.min() > 0.6
    assert figure.max() < 1.25


def test_same_seed_same_wood_and_another_seed_another() -> None:
    grid = grid_over((-60.0, -40.0, 60.0, 40.0), 0.5)
    first = bamboo_figure(grid, 5)
    assert np.array_equal(first, bamboo_figure(grid, 5))
    assert abs(np.corrcoef(first.ravel(), bamboo_figure(grid, 6).ravel())[0, 1]) < 0.6


def test_the_same_wood_is_seen_at_another_pixel_pitch() -> None:
    fine = bamboo_figure(RasterGrid(top_x_mm=90.0, left_y_mm=60.0, pixel_mm=0.1, rows=1800,
                                    columns=1200), 7)
    coarse = bamboo_figure(RasterGrid(top_x_mm=90.0, left_y_mm=60.0, pixel_mm=0.3, rows=600,
                                      columns=400), 7)
    averaged = fine.reshape(600, 3, 400, 3).mean(axis=(1, 3))
    assert np.corrcoef(averaged.ravel(), coarse.ravel())[0, 1] > 0.98
    assert coarse.std() == pytest.approx(averaged.std(), rel=0.05)


def test_a_band_is_cut_from_the_same_wood() -> None:
    grid = grid_over((-100.0, -60.0, 100.0, 60.0), 0.5)
    whole = bamboo_figure(grid, 3)
    assert np.allclose(bamboo_figure(grid.band(100, 180), 3), whole[100:180], atol=2e-3)


def test_fibres_run_along_the_board() -> None:
    figure = bamboo_figure(grid_over((-150.0, -9.0, 150.0, 9.0), 0.2), 4)
    along = np.abs(np.diff(figure, axis=0)).mean()
    across = np.abs(np.diff(figure, axis=1)).mean()
    assert across > 6.0 * along


def test_a_strip_has_nodes_at_the_stated_spacing() -> None:
    grid = RasterGrid(top_x_mm=790.0, left_y_mm=2.0, pixel_mm=0.5, rows=3160, columns=8)
    line = bamboo_figure(grid, 9).mean(axis=1)
    level = np.convolve(line, np.ones(121) / 121, mode="same")
    dark = np.flatnonzero(line[100:-100] < level[100:-100] - 0.04) + 100
    groups = np.split(dark, np.flatnonzero(np.diff(dark) > 40) + 1)
    places = np.array([group.mean() for group in groups]) * 0.5
    assert 3 <= len(places) <= 8
    assert np.all((np.diff(places) > 195.0) & (np.diff(places) < 355.0))


@pytest.mark.parametrize(("rows", "columns"), [(1, 1), (1, 300), (300, 1)])
def test_any_grid_will_do(rows: int, columns: int) -> None:
    grid = RasterGrid(top_x_mm=-400.0, left_y_mm=130.0, pixel_mm=2.5, rows=rows, columns=columns)
    figure = bamboo_figure(grid, 1)
    assert figure.shape == (rows, columns)
    assert np.isfinite(figure).all()
