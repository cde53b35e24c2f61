"""Areas and offsets against closed forms of plane geometry.

Steiner's formula: a convex area A with perimeter P, grown by r, measures A + P r + π r². Shrunk
rectangles measure (a − 2r)(b − 2r). An ellipse measures π a b. Masks must add up to the same.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely import affinity, box
from shapely.geometry import Point

from preflight.board.area_mask import coverage_mask, row_spans
from preflight.board.topsheet_area import offset_area
from preflight.frames.raster_grid import grid_over
from tests.plain_geometry import pixels_in


@pytest.mark.parametrize("r", [0.5, 8.0, 60.0])
def test_grown_rectangle_obeys_steiner(r: float) -> None:
    grown = offset_area(box(-800, -150, 800, 150), r, "bleed")
    steiner = 1600 * 300 + 2 * 1900 * r + math.pi * r**2
    assert grown.area == pytest.approx(steiner, abs=2 * math.pi * r * 0.005)
    assert grown.area < steiner


def test_shrunk_rectangle() -> None:
    assert offset_area(box(-800, -150, 800, 150), -8, "edge").area == pytest.approx(1584 * 284)


@pytest.mark.parametrize("pixel_mm", [0.9, 0.25])
def test_masks_of_an_ellipse_measure_pi_a_b(pixel_mm: float) -> None:
    ellipse = affinity.scale(Point(0, 0).buffer(1.0, quad_segs=4000), 200.0, 70.0)
    grid = grid_over(ellipse.bounds, pixel_mm)
    covered = coverage_mask(ellipse, grid).sum(dtype=np.float64) / 65535 * pixel_mm**2
    assert covered == pytest.approx(math.pi * 200 * 70, rel=1e-5)
    spans = row_spans(ellipse, grid_over(ellipse.bounds, 0.01))
    assert pixels_in(spans) * 1e-4 == pytest.approx(math.pi * 200 * 70, rel=1e-5)
