"""Facts of tone planes against plain reckonings, pixel by pixel."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.facts.tone_facts import FULL_TONE, densest_place, ink_facts, tone_sum_facts
from preflight.findings import Place
from preflight.frames.raster_grid import RasterGrid, grid_over

GRID = grid_over((0.0, 0.0, 33.0, 50.0), 0.1)


def _made(seed: int) -> tuple[NDArray[np.uint16], NDArray[np.bool_]]:
    """Three planes with bare and solid parts, and an area with holes."""
    random = np.random.default_rng(seed)
    planes = random.integers(0, FULL_TONE + 1, (3, GRID.rows, GRID.columns)).astype(np.uint16)
    planes[0, :40], planes[1, 40:80] = 0, FULL_TONE
    return planes, random.random((GRID.rows, GRID.columns)) < 0.8


def _box_of(marked: NDArray[np.bool_], side: int) -> Place | None:
    """The first box, row by row, of those that hold the most."""
    most, at = 0, (0, 0)
    for row in range(0, marked.shape[0], side):
        for column in range(0, marked.shape[1], side):
            held = int(marked[row:row + side, column:column + side].sum())
            if held > most:
                most, at = held, (row, column)
    x, y = GRID.top_x_mm - at[0] * GRID.pixel_mm, GRID.left_y_mm - at[1] * GRID.pixel_mm
    return Place(least_x_mm=x - side * GRID.pixel_mm, greatest_x_mm=x,
                 least_y_mm=y - side * GRID.pixel_mm, greatest_y_mm=y) if most else None


@pytest.mark.parametrize("ends", [(0.03, 0.97), (0.0, 1.0), (0.123456, 0.5)])
def test_shares_beyond_the_ends_are_counted(ends: tuple[float, float]) -> None:
    planes, inside = _made(1)
    for plane in planes:
        facts = ink_facts(plane, inside, GRID, name="ink", lightness=40.0, ends=ends)
        tones = plane / FULL_TONE
        small = inside & (tones > 0) & (tones < ends[0] - 0.5 / FULL_TONE)
        large = inside & (tones < 1) & (tones > ends[1] + 0.5 / FULL_TONE)
        area = np.count_nonzero(inside)
        assert facts.share_too_small == np.count_nonzero(small) / area
        assert facts.share_too_large == np.count_nonzero(large) / area
        assert facts.place_too_small == _box_of(small, 400)
        assert facts.mean_tone == pytest.approx(float(tones[inside].mean()), rel=1e-12)


def test_no_tone_lies_beyond_the_ends_of_the_scale() -> None:
    planes, inside = _made(2)
    facts = ink_facts(planes[0], inside, GRID, name="ink", lightness=40.0, ends=(0.0, 1.0))
    assert facts.share_too_small == facts.share_too_large == 0.0
    assert facts.place_too_small is None
    assert facts.place_too_large is None


@pytest.mark.parametrize("seed", range(4))
def test_the_first_of_the_greatest_sums_is_found(seed: int) -> None:
    planes, inside = _made(seed)
    if seed % 2:
        planes //= 9000  # so that the greatest sum stands at many places
    greatest, place = tone_sum_facts(planes, inside, GRID)
    sums = planes.sum(axis=0, dtype=np.int64) * inside
    row, column = np.unravel_index(int(np.argmax(sums)), sums.shape)
    assert greatest == sums.max() / FULL_TONE
    assert place is not None
    assert place.greatest_x_mm == pytest.approx(GRID.top_x_mm - float(row) * GRID.pixel_mm)
    assert place.greatest_y_mm == pytest.approx(GRID.left_y_mm - float(column) * GRID.pixel_mm)


def test_an_area_of_nothing_has_no_sum() -> None:
    planes, inside = _made(5)
    assert tone_sum_facts(planes, np.zeros_like(inside), GRID) == (0.0, None)


@pytest.mark.parametrize("box_mm", [0.7, 4.0, 40.0])
def test_the_fullest_box_is_found(box_mm: float) -> None:
    marked = np.random.default_rng(6).random((GRID.rows, GRID.columns)) < 0.02
    assert densest_place(marked, GRID, box_mm) == _box_of(marked, round(box_mm * 10))
    assert densest_place(np.zeros_like(marked), GRID, box_mm) is None


def test_the_grid_is_told_from_its_corner() -> None:
    grid: RasterGrid = GRID
    marked = np.zeros((grid.rows, grid.columns), np.bool_)
    marked[17, 23] = True
    place = densest_place(marked, grid, 0.1)
    assert place is not None
    assert place.greatest_x_mm == pytest.approx(grid.top_x_mm - 1.7)
    assert place.greatest_y_mm == pytest.approx(grid.left_y_mm - 2.3)
