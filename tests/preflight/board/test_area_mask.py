"""Areas turned into pixels."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity, box
from shapely.geometry import MultiPolygon, Point, Polygon

from preflight.board.area_mask import coverage_mask, row_spans
from preflight.frames.raster_grid import RasterGrid, grid_over
from tests.plain_geometry import pixels_in

GRID = RasterGrid(top_x_mm=10.0, left_y_mm=8.0, pixel_mm=0.5, rows=40, columns=32)


def pixel(grid: RasterGrid, row: int, column: int) -> Polygon:
    top, left = grid.top_x_mm - row * grid.pixel_mm, grid.left_y_mm - column * grid.pixel_mm
    return box(top - grid.pixel_mm, left - grid.pixel_mm, top, left)


def assert_exact(area: Polygon | MultiPolygon, grid: RasterGrid) -> None:
    mask = coverage_mask(area, grid)
    for row in range(grid.rows):
        for column in range(grid.columns):
            share = area.intersection(pixel(grid, row, column)).area / grid.pixel_mm**2
            assert abs(mask[row, column] / 65535 - share) < 1e-5, (row, column)


star = st.lists(st.floats(0.5, 9.0), min_size=3, max_size=12).map(lambda radii: Polygon(
    [(r * np.cos(a), r * np.sin(a)) for r, a in zip(
        radii, np.linspace(0, 2 * np.pi, len(radii), endpoint=False), strict=True)]))


@settings(max_examples=15, deadline=None)
@given(area=star, shift_x=st.floats(-6, 6), shift_y=st.floats(-6, 6))
def test_each_pixel_holds_its_share(area: Polygon, shift_x: float, shift_y: float) -> None:
    assert_exact(affinity.translate(area, shift_x, shift_y), GRID)


@pytest.mark.parametrize("area", [
    box(-3, -3, 3, 3), box(-3.25, -3.1, 3.3, 3.7), box(-100, -100, 100, 100),
    box(-100, -1, 100, 1), box(2, 20, 3, 30), box(-3, -3, 3, 3).difference(box(-1, -1, 1.2, 1.3)),
    MultiPolygon([box(-5, -5, -2, -2), box(1, 1, 4, 4)]), Point(0, 0).buffer(4.2),
    Point(7, 6).buffer(5).difference(Point(7, 6).buffer(3))])
def test_holes_parts_and_areas_beyond_the_grid(area: Polygon | MultiPolygon) -> None:
    assert_exact(area, GRID)


@settings(max_examples=40, deadline=None)
@given(area=star, shift_x=st.floats(-6, 6), shift_y=st.floats(-6, 6))
def test_spans_are_the_centres_inside(area: Polygon, shift_x: float, shift_y: float) -> None:
    area = affinity.translate(area, shift_x, shift_y)
    inside = row_spans(area, GRID).inside()
    x, y = np.meshgrid(GRID.row_centres_x_mm(), GRID.column_centres_y_mm(), indexing="ij")
    edge = area.exterior
    for row, column in np.ndindex(inside.shape):
        centre = Point(x[row, column], y[row, column])
        if edge.distance(centre) > 1e-5:
            assert inside[row, column] == area.contains(centre)


@settings(max_examples=40, deadline=None)
@given(area=star, shift=st.floats(-6, 6))
def test_spans_agree_with_coverage(area: Polygon, shift: float) -> None:
    area = affinity.translate(area, shift, shift / 3)
    mask, spans = coverage_mask(area, GRID), row_spans(area, GRID)
    inside = spans.inside()
    assert inside[mask == 65535].all()
    assert not inside[mask == 0].any()
    assert pixels_in(spans) == inside.sum()


@settings(max_examples=40, deadline=None)
@given(area=star, first=st.integers(0, 38), count=st.integers(1, 30),
       pixel_mm=st.floats(0.013, 0.7))
def test_bands_equal_the_whole(area: Polygon, first: int, count: int, pixel_mm: float) -> None:
    grid = RasterGrid(top_x_mm=9.0, left_y_mm=9.0, pixel_mm=pixel_mm, rows=60, columns=50)
    end = min(60, first + count)
    band = grid.band(first, end)
    whole, part = row_spans(area, grid).band(first, end), row_spans(area, band)
    assert np.array_equal(whole.inside(), part.inside())
    difference = coverage_mask(area, grid)[first:end].astype(int) - coverage_mask(area, band)
    assert np.abs(difference).max() <= 1


def test_edges_through_pixel_centres_fall_alike_in_every_band() -> None:
    grid = RasterGrid(top_x_mm=1.0, left_y_mm=1.0, pixel_mm=0.1, rows=20, columns=20)
    area = box(-0.55, -0.55, 0.55, 0.55)  # every edge runs through centres
    whole = row_spans(area, grid)
    assert pixels_in(whole) == 11 * 11
    for first in range(19):
        part = row_spans(area, grid.band(first, first + 1))
        assert np.array_equal(part.inside(), whole.band(first, first + 1).inside())


def test_total_area_is_kept() -> None:
    area = Point(0.3, -0.2).buffer(120.0, quad_segs=200)
    grid = grid_over(area.bounds, 0.37)
    total = coverage_mask(area, grid).sum(dtype=np.float64) / 65535 * grid.pixel_mm**2
    assert total == pytest.approx(area.area, rel=1e-5)
    spans = row_spans(area, grid_over(area.bounds, 0.02))
    assert pixels_in(spans) * 0.02**2 == pytest.approx(area.area, rel=1e-5)


@settings(max_examples=25, deadline=None)
@given(area=star, by=st.floats(0.0, 3.0))
def test_masks_of_nested_areas_nest(area: Polygon, by: float) -> None:
    inner, outer = coverage_mask(area, GRID), coverage_mask(area.buffer(by), GRID)
    assert (inner.astype(int) <= outer.astype(int) + 1).all()
    assert not (row_spans(area, GRID).inside() & ~row_spans(area.buffer(by), GRID).inside()).any()


def test_nothing_covers_nothing() -> None:
    assert coverage_mask(Polygon(), GRID).max() == 0
    spans = row_spans(Polygon(), GRID)
    assert pixels_in(spans) == 0
    assert spans.starts.shape == (40, 1)
    assert spans.starts.dtype == np.int32
