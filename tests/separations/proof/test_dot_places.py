"""Where light and deep tones are looked at."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.raster_grid import grid_over
from separations.proof.dot_places import light_and_deep_places

GRID = grid_over((-50, -20, 50, 20), 1.0)
BOX = (9.0, 6.0)


def test_the_boxes_lie_in_the_highlight_and_in_the_shadow() -> None:
    tones = np.full((2, GRID.rows, GRID.columns), 20_000, np.uint16)
    tones[:, 5:20, 5:25] = 65_535 * 0.075  # near the nose, on the left
    tones[:, 80:95, 20:36] = 60_000
    places = light_and_deep_places(tones, GRID, np.ones(tones.shape[1:], bool), BOX)
    assert places
    (light_x, light_y), (deep_x, deep_y) = places
    assert 33 <= light_x <= 42
    assert 0 <= light_y <= 11
    assert -42 <= deep_x <= -33
    assert -11 <= deep_y <= -4


def test_nothing_printed_or_no_room_gives_no_place() -> None:
    tones = np.zeros((1, GRID.rows, GRID.columns), np.uint16)
    assert light_and_deep_places(tones, GRID, np.ones(tones.shape[1:], bool), BOX) is None
    assert light_and_deep_places(tones + 9000, GRID, np.zeros(tones.shape[1:], bool), BOX) is None


@pytest.mark.parametrize("margin", [3, 9])
def test_the_whole_box_lies_within(margin: int) -> None:
    tones = np.random.default_rng(3).integers(0, 65_535, (1, GRID.rows, GRID.columns),
                                              dtype=np.uint16)
    within = np.zeros(tones.shape[1:], bool)
    within[margin:-margin, margin:-margin] = True
    for x, y in light_and_deep_places(tones, GRID, within, BOX) or ():
        assert abs(x) <= 50 - margin - 3
        assert abs(y) <= 20 - margin - 4.5
