"""Marks: outside the image, on the page, clear of each other, and where they should be."""

from __future__ import annotations

import pytest

from separations.films.film_sheet import Box, FilmSheet, film_sheet
from separations.films.marks import (
    WEDGE_PERCENT,
    Ring,
    Words,
    label_box,
    marks,
    wedge_box,
    wedge_tones,
)


@pytest.fixture(params=[(1610, 320, 1440), (120, 70, 720), (300, 100, 2880)])
def sheet(request: pytest.FixtureRequest) -> FilmSheet:
    length, width, dpi = request.param
    return film_sheet((-length / 2, -width / 2, length / 2, width / 2),
                      (8 - length / 2, 8 - width / 2, length / 2 - 8, width / 2 - 8), dpi)


def _extent(sheet: FilmSheet, shape: Box | Ring | Words) -> Box:
    if isinstance(shape, Box):
        return shape
    if isinstance(shape, Ring):
        out = shape.radius + shape.stroke
        return Box(shape.column - out, shape.row - out, shape.column + out, shape.row + out)
    wide = round(len(shape.text) * shape.size_pt * 0.75 / sheet.point_per_pixel)
    left = shape.column - {"left": 0, "centre": wide // 2, "right": wide}[shape.align]
    return Box(left, shape.row - round(shape.size_pt / sheet.point_per_pixel), left + wide,
               shape.row)


def _meet(a: Box, b: Box) -> bool:
    return a.left < b.right and b.left < a.right and a.top < b.bottom and b.top < a.bottom


def test_nothing_touches_the_image_the_label_or_the_pages_edge(sheet: FilmSheet) -> None:
    page = Box(0, 0, sheet.page_grid.columns, sheet.page_grid.rows)
    for shape in (*marks(sheet), wedge_box(sheet), label_box(sheet)):
        extent = _extent(sheet, shape)
        assert not _meet(extent, sheet.art_box), shape
        assert page.left <= extent.left < extent.right <= page.right, shape
        assert page.top <= extent.top < extent.bottom <= page.bottom, shape
        if shape != label_box(sheet):
            assert not _meet(extent, label_box(sheet)), shape


def test_eight_targets_with_four_on_the_centre_lines(sheet: FilmSheet) -> None:
    rings = [shape for shape in marks(sheet) if isinstance(shape, Ring)]
    assert len(rings) == 8
    assert sum(ring.column == sheet.column(0.0) for ring in rings) == 2
    assert sum(ring.row == sheet.row(0.0) for ring in rings) == 2


def test_ticks_point_at_the_trim(sheet: FilmSheet) -> None:
    trim = sheet.trim_box
    middles = {(shape.top + shape.bottom) // 2 for shape in marks(sheet)
               if isinstance(shape, Box) and shape.right < sheet.art_box.left}
    assert {trim.top, trim.bottom} <= middles
    middles = {(shape.left + shape.right) // 2 for shape in marks(sheet)
               if isinstance(shape, Box) and shape.bottom < sheet.art_box.top}
    assert {trim.left, trim.right} <= middles


def test_rules_are_a_hundred_millimetres_to_the_pixel(sheet: FilmSheet) -> None:
    words = [shape.text for shape in marks(sheet) if isinstance(shape, Words)]
    across = next(text for text in words if text.endswith("across"))
    length_mm = int(across.split()[0])
    assert length_mm == (100 if sheet.page_width_mm > 120 else 80)
    above = [shape for shape in marks(sheet) if isinstance(shape, Box)
             and shape.bottom < sheet.art_box.top - sheet.pixels(12)]
    posts = sorted((s.left + s.right) // 2 for s in above
                   if s.right - s.left < sheet.pixels(1.0))
    assert len(posts) == length_mm + 1
    span_mm = (posts[-1] - posts[0]) * sheet.page_grid.pixel_mm
    assert span_mm == pytest.approx(length_mm, abs=sheet.page_grid.pixel_mm / 2)


def test_wedge_steps_hold_their_tones(sheet: FilmSheet) -> None:
    tones = wedge_tones(sheet)
    step = tones.shape[1] // len(WEDGE_PERCENT)
    found = tones[0, step // 2::step] / 65535
    assert found == pytest.approx([percent / 100 for percent in WEDGE_PERCENT], abs=1e-5)
    assert (tones == tones[0]).all()
