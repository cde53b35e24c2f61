"""The sheet: whole pixels, boxes inside each other, wedge and marks on the same pixels."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from preflight.frames.raster_grid import grid_over
from separations.films.film_sheet import film_sheet
from separations.films.marks import wedge_box

Millimetres = st.floats(100, 900)


@given(half_length=Millimetres, half_width=st.floats(60, 200),
       dpi=st.sampled_from([360.0, 720.0, 1270.0, 1440.0, 2880.0]))
def test_boxes_lie_inside_each_other_and_on_the_boards_pixels(
        half_length: float, half_width: float, dpi: float) -> None:
    bounds = (-half_length, -half_width, half_length, half_width)
    trim = (8 - half_length, 8 - half_width, half_length - 8, half_width - 8)
    sheet = film_sheet(bounds, trim, dpi)
    art, inner = sheet.art_box, sheet.trim_box
    assert 0 < art.left < inner.left < inner.right < art.right < sheet.page_grid.columns
    assert 0 < art.top < inner.top < inner.bottom < art.bottom < sheet.page_grid.rows
    assert sheet.part_grid(art).top_x_mm == pytest.approx(sheet.art_grid.top_x_mm, abs=1e-9)
    assert sheet.art_grid == grid_over(bounds, 25.4 / dpi)
    trim_mm = (inner.bottom - inner.top) * sheet.art_grid.pixel_mm
    assert trim_mm == pytest.approx(2 * half_length - 16, abs=sheet.art_grid.pixel_mm)


def test_page_size_is_whole_pixels_in_points() -> None:
    sheet = film_sheet((-805, -160, 805, 160), (-797, -152, 797, 152), 1440)
    assert (sheet.art_grid.rows, sheet.art_grid.columns) == (91276, 18142)
    assert sheet.point_per_pixel == 0.05
    assert sheet.page_length_mm == pytest.approx(sheet.page_grid.rows * 25.4 / 1440)


def test_a_trim_outside_the_image_is_cut_to_it() -> None:
    sheet = film_sheet((-100, -40, 100, 40), (-110, -50, 110, 50), 720)
    assert sheet.trim_box == sheet.art_box


def test_the_wedge_stands_on_the_images_pixels() -> None:
    sheet = film_sheet((-100, -60, 100, 60), (-90, -50, 90, 50), 720)
    grid = sheet.part_grid(wedge_box(sheet))
    for off in ((grid.top_x_mm - sheet.art_grid.top_x_mm) / grid.pixel_mm,
                (grid.left_y_mm - sheet.art_grid.left_y_mm) / grid.pixel_mm):
        assert math.isclose(off, round(off), abs_tol=1e-6)
