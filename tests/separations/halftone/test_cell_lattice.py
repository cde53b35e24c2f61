"""Cells of a whole number of pixels: found, and ranked by counting."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.frames.raster_grid import grid_over
from preflight.press.halftone_spec import HalftoneSpec
from separations.halftone.cell_lattice import counted_levels, origin_mm, repeat_pixels
from separations.halftone.spot_levels import levelled_spot


def _spec(lpi: float, angle_deg: float) -> HalftoneSpec:
    return HalftoneSpec(ruling_lpcm=lpi / 2.54, angle_deg=angle_deg, dot_shape="round",
                        film_dpi=1440)


@pytest.mark.parametrize(("lpi", "angle_deg", "pixels"), [
    (45, 0, 32), (45, 90, 32), (65, 0, 288), (45, 22.5, None), (45, 45, None),
    (45.678, 0, None)])
def test_repeats_are_found_at_right_angles_only(lpi: float, angle_deg: float,
                                                pixels: int | None) -> None:
    assert repeat_pixels(_spec(lpi, angle_deg)) == pixels


def test_a_cell_of_32_pixels_is_worth_its_tone_steps() -> None:
    spot = levelled_spot("round")
    asked = np.linspace(0, 1, 400)
    levels = counted_levels(spot, _spec(45, 0), 32, asked)
    heights = spot.height(((np.arange(32) + 0.17) / 32)[:, None], (np.arange(32) + 0.38) / 32)
    found = np.array([(heights > level).mean() for level in levels])
    assert np.abs(found - asked).max() <= 2 / 1024


@pytest.mark.parametrize("pixels", [100, 101])
def test_the_origin_lies_on_a_pixel_centre_near_the_boards(pixels: int) -> None:
    grid = grid_over((-pixels / 20, -pixels / 20, pixels / 20, pixels / 20), 0.1)
    x, y = origin_mm(grid)
    assert abs(x) <= 0.051
    assert abs(y) <= 0.051
    assert np.abs(grid.row_centres_x_mm() - x).min() < 1e-9
    assert np.abs(grid.column_centres_y_mm() - y).min() < 1e-9
