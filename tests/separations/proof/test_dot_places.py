"""Where busy, light and deep tones are looked at."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.lib.stride_tricks import sliding_window_view

from preflight.frames.raster_grid import RasterGrid, grid_over
from separations.proof.dot_places import dot_places

GRID = grid_over((-50, -20, 50, 20), 1.0)
BOX = (9.0, 6.0)


def test_the_boxes_lie_in_the_highlight_and_in_the_shadow() -> None:
    tones = np.full((2, GRID.rows, GRID.columns), 20_000, np.uint16)
    tones[:, 5:20, 5:25] = 65_535 * 0.075  # near the nose, on the left
    tones[:, 80:95, 20:36] = 60_000
    places = dot_places(tones, GRID, np.ones(tones.shape[1:], bool), BOX)
    (light_x, light_y), (deep_x, deep_y) = places.light_and_deep
    assert 33 <= light_x <= 42
    assert 0 <= light_y <= 11
    assert -42 <= deep_x <= -33
    assert -11 <= deep_y <= -4


def test_a_board_wider_than_long_has_its_places_too() -> None:
    grid = grid_over((-20, -50, 20, 50), 1.0)
    tones = np.full((2, grid.rows, grid.columns), 20_000, np.uint16)
    tones[:, 20:36, 80:95] = 60_000
    (_, deep) = dot_places(tones, grid, np.ones(tones.shape[1:], bool), (5.0, 5.0)).light_and_deep
    assert deep[0] == pytest.approx(-8.0, abs=6.0)
    assert deep[1] == pytest.approx(-37.5, abs=6.0)


def test_nothing_printed_or_no_room_gives_no_place() -> None:
    tones = np.zeros((1, GRID.rows, GRID.columns), np.uint16)
    whole = np.ones(tones.shape[1:], bool)
    first = (float(GRID.row_centres_x_mm()[0]), float(GRID.column_centres_y_mm()[0]))
    for plain, within in ((tones, whole), (tones + 9000, ~whole)):
        nothing = dot_places(plain, GRID, within, BOX)
        assert nothing.light_and_deep == ()
        assert nothing.busiest == first


@pytest.mark.parametrize("margin", [3, 9])
def test_the_whole_box_lies_within(margin: int) -> None:
    tones = np.random.default_rng(3).integers(0, 65_535, (1, GRID.rows, GRID.columns),
                                              dtype=np.uint16)
    within = np.zeros(tones.shape[1:], bool)
    within[margin:-margin, margin:-margin] = True
    found = dot_places(tones, GRID, within, BOX)
    for x, y in (found.busiest, *found.light_and_deep):
        assert abs(x) <= 50 - margin - 3
        assert abs(y) <= 20 - margin - 4.5


@pytest.mark.parametrize("box", [(9.0, 6.0), (1.0, 1.0), (3.0, 11.0)])
@pytest.mark.parametrize("inks", [1, 4])
def test_no_other_box_is_busier_lighter_or_deeper(box: tuple[float, float], inks: int) -> None:
    """Every box reckoned for itself."""
    rng = np.random.default_rng(inks)
    grid = RasterGrid(top_x_mm=30.0, left_y_mm=20.0, pixel_mm=1.0, rows=60, columns=40)
    waves = rng.uniform(0, 1, (inks, 60, 40)) * np.linspace(0.02, 1, 40)
    tones = (65_535 * waves**2).astype(np.uint16)
    tones[:, :, 30:] = 65_535  # where all is even
    within = np.ones((60, 40), bool)
    within[:9, :12] = False
    wide, tall = (round(side) | 1 for side in box)
    boxes = sliding_window_view(tones / 65_535, (tall, wide), axis=(1, 2))
    inside = sliding_window_view(within, (tall, wide)).all(axis=(2, 3))
    variety = np.where(inside, boxes.std(axis=(3, 4)).sum(axis=0), 0)
    ink = boxes.mean(axis=(3, 4)).sum(axis=0)
    light = np.where(inside & (ink > 1e-3), np.abs(ink - 0.15), np.inf)
    found = dot_places(tones, grid, within, box)
    told = []
    for x, y in (found.busiest, *found.light_and_deep):
        row, column = round(30.0 - x - 0.5) - tall // 2, round(20.0 - y - 0.5) - wide // 2
        told.append((row, column))
    if max(box) > 1:  # boxes of one pixel have no variety
        assert variety[told[0]] == pytest.approx(variety.max(), abs=1e-6)
    assert light[told[1]] == pytest.approx(light.min(), abs=1e-6)
    assert np.where(inside, ink, 0)[told[2]] == pytest.approx(ink[inside].max(), abs=1e-6)
