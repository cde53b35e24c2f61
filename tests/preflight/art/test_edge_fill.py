"""Edge pixels of a photo repeated beyond its edge: how far, and what they are."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest
from shapely.geometry import box

from preflight.art.art_plane import photo_plane
from preflight.art.artwork import open_artwork
from preflight.art.placement import Placement, place
from preflight.board.area_mask import coverage_mask
from preflight.frames.raster_grid import grid_over
from tests.plain_geometry import art_of


def striped(folder: Path) -> Path:
    """Each row another colour, none white."""
    rows = np.linspace(10, 200, 80).astype(np.uint8)
    picture = np.dstack([np.repeat(rows[:, None], 120, 1), np.full((80, 120), 90, np.uint8),
                         np.repeat(rows[::-1, None], 120, 1)])
    path = folder / "striped.png"
    cv2.imwrite(str(path), picture[:, :, ::-1])
    return path


@pytest.mark.parametrize("turn", [0.0, 90.0, 180.0, 7.0])
def test_the_edge_is_repeated_as_far_as_asked_and_no_farther(tmp_path: Path, turn: float) -> None:
    art = open_artwork(striped(tmp_path))
    placed = place(120, 80, (-60, -40, 60, 40), Placement(how="scale", art_width_mm=60,
                                                          turn_deg=turn))
    grid = grid_over((-60, -60, 60, 60), 0.5)
    bare, filled = (photo_plane(art, placed, grid, fill_mm=mm) for mm in (0.0, 4.0))
    inside = coverage_mask(placed.polygon, grid) == 65_535
    assert np.array_equal(filled.cover > 127, coverage_mask(placed.reaching(4.0), grid) > 32_767)
    assert np.array_equal(bare.rgb[inside], filled.rgb[inside]) or turn == 7.0
    strip = (filled.cover == 255) & (bare.cover == 0)
    assert strip.any()
    x, y = np.meshgrid(grid.row_centres_x_mm(), grid.column_centres_y_mm(), indexing="ij")
    v = np.clip(art_of(placed, np.stack([x, y], axis=-1))[..., 1], 0.5, 79.5) - 0.5
    wanted = 10 + 190 * v / 79
    assert np.abs(filled.rgb[strip][:, 0].astype(float) - wanted[strip]).max() < 6
    assert (filled.rgb[strip][:, 1] == 90).all()
    assert (filled.rgb[filled.cover == 0] == 255).all()


def test_reaching_is_the_rectangle_moved_outwards() -> None:
    placed = place(120, 80, (-60, -40, 60, 40), Placement(how="scale", art_width_mm=60))
    assert placed.reaching(0.0).equals(placed.polygon)
    wide = placed.reaching(3.0)
    assert wide.symmetric_difference(box(-23, -33, 23, 33)).area < 1e-6
