"""Runs band by band: against the whole film's spans, and at the demo film's size."""

from __future__ import annotations

import tracemalloc

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, MultiPolygon, Point, Polygon, box, union_all

from preflight.board.area_mask import Area, row_spans
from preflight.board.area_runs import area_runs
from preflight.frames.raster_grid import RasterGrid
from preflight.vector_art.ring_area import as_area
from separations.halftone.packed_rows import fill_runs

GRID = RasterGrid(top_x_mm=10, left_y_mm=10, pixel_mm=0.25, rows=80, columns=77)
SHAPES: list[Area] = [
    box(-3.1, -4, 5, 2.2), Point(0, 0).buffer(6).difference(Point(1, 1).buffer(2.2)),
    LineString([(-30, -31), (30, 29)]).buffer(0.4),
    MultiPolygon([box(0, 0, 1, 1), box(2, 2, 4, 9)]),
    Polygon(), box(50, 50, 60, 60), box(-50, -50, 50, 50), box(0, 0, 0.125, 9)]


def painted(area: Area, grid: RasterGrid, rows_per_band: int) -> np.ndarray:
    runs, bands = area_runs(area, grid), []
    for first in range(0, grid.rows, rows_per_band):
        end = min(first + rows_per_band, grid.rows)
        packed = np.zeros((end - first, (grid.columns + 7) // 8), np.uint8)
        band = runs.band(first, end)
        if band is not None:
            fill_runs(band.bounds, band.offsets, 0, packed)
        bands.append(packed)
    return np.unpackbits(np.vstack(bands), axis=1)[:, :grid.columns].astype(bool)


@pytest.mark.parametrize("area", SHAPES)
@pytest.mark.parametrize("rows_per_band", [1, 7, 80])
def test_bands_are_the_whole_films_spans(area: Area, rows_per_band: int) -> None:
    assert np.array_equal(painted(area, GRID, rows_per_band), row_spans(area, GRID).inside())


@given(st.lists(st.tuples(st.integers(-80, 80), st.integers(-80, 80)), min_size=3, max_size=9))
def test_pixels_whose_centres_lie_inside(corners: list[tuple[int, int]]) -> None:
    # Corners on whole eighths of a pixel off the centres: no centre lies on an edge's end.
    area = as_area(Polygon([(x / 8 + 0.01, y / 8 + 0.013) for x, y in corners]).buffer(0))
    drawn = painted(area, GRID, 9)
    x, y = np.meshgrid(GRID.row_centres_x_mm(), GRID.column_centres_y_mm(), indexing="ij")
    near = as_area(area.boundary.buffer(1e-4)) if not area.is_empty else Polygon()
    for row, column in np.random.default_rng(2).integers(0, (80, 77), (40, 2)):
        point = Point(x[row, column], y[row, column])
        if not near.contains(point):
            assert drawn[row, column] == area.contains(point)


def test_a_whole_film_of_lines_takes_little_memory() -> None:
    pixel_mm = 25.4 / 1440
    grid = RasterGrid(top_x_mm=805, left_y_mm=176, pixel_mm=pixel_mm, rows=91_276, columns=20_000)
    lines = as_area(union_all([LineString([(-800, -170 + k), (800, -165 + k)]).buffer(0.2)
                               for k in range(330)]))
    tracemalloc.start()
    runs = area_runs(lines, grid)
    pixels = 0
    for first in range(0, grid.rows, 9_127):
        band = runs.band(first, min(first + 512, grid.rows))
        if band is not None:
            pixels += int((band.bounds[1::2] - band.bounds[0::2]).sum())
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 60e6
    assert pixels > 0
