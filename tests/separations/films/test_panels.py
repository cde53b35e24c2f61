"""Panels: laid on each other they are the whole film, bit for bit, crosses on crosses."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from separations.films.film_label import FilmLabel
from separations.films.film_pdf import write_film
from separations.films.film_sheet import Box, FilmSheet, Reading, film_sheet
from separations.films.page_rendering import rendered_page
from separations.films.panels import (
    Panel,
    PrinterRoom,
    QuietArt,
    panel_dots,
    panels_fit,
    plan_panels,
)
from separations.films.read_back import read_back
from separations.films.splice_marks import APRON_MM, splice_crosses
from separations.halftone.film_bands import dots_in
from separations.halftone.film_content import FilmContent
from separations.halftone.screening import prepare
from tests.separations.films.conftest import BOUNDS, TRIM
from tests.separations.films.decoded_images import decoded_dots

BuildFilm = Callable[..., FilmContent]
_DPI = 360.0


def _sheet(reading: Reading = "right-reading") -> FilmSheet:
    return film_sheet(BOUNDS, TRIM, _DPI, reading, further_lines=1, apron_mm=APRON_MM)


def _quiet(sheet: FilmSheet) -> QuietArt:
    art, mm = sheet.art_box, sheet.page_grid.pixel_mm
    quiet = QuietArt(columns=np.full(int(sheet.page_width_mm) + 1, 0.5),
                     rows=np.full(int(sheet.page_length_mm) + 1, 0.5))
    for ink, first, end in ((quiet.columns, art.left, art.right),
                            (quiet.rows, art.top, art.bottom)):
        place = np.arange(len(ink)) / mm
        ink[(place < first) | (place > end)] = np.inf
    return quiet


def _plan(sheet: FilmSheet, room: PrinterRoom) -> tuple[Panel, ...]:
    return plan_panels(sheet, room, _quiet(sheet))


@pytest.mark.parametrize(("width_mm", "length_mm", "reading", "count"), [
    (80.0, 900.0, "right-reading", 2), (80.0, 900.0, "mirrored", 2),
    (900.0, 200.0, "right-reading", 2), (80.0, 200.0, "right-reading", 4)])
def test_panels_reassemble_to_the_whole_film(
        tmp_path: Path, small_film: BuildFilm, label: FilmLabel, width_mm: float,
        length_mm: float, reading: Reading, count: int) -> None:
    sheet = _sheet(reading)
    content = small_film(sheet)
    grid = content.film_grid
    whole, shown = dots_in(content, 0, grid.rows, 0, grid.columns), prepare(content)
    again, times = np.zeros_like(whole), np.zeros(whole.shape, np.uint8)
    fresh = np.zeros(whole.shape, np.uint8)
    panels = _plan(sheet, PrinterRoom(width_mm=width_mm, length_mm=length_mm, overlap_mm=15.0))
    assert len(panels) == count
    for panel in panels:
        assert panel.sheet.page_width_mm <= width_mm
        assert panel.sheet.page_length_mm <= length_mm
        dots = panel_dots(shown, panel)
        record = write_film(tmp_path / f"{panel.number}.pdf", dots, panel.sheet, label,
                            shapes=panel.shapes)
        read_back(record, dots, panel.sheet)
        found, box = decoded_dots(record.path), panel.art
        part = (slice(box.top, box.bottom), slice(box.left, box.right))
        assert not (times[part].astype(bool) & (again[part] != found)).any(), "overlaps agree"
        again[part], times[part] = found, times[part] + 1
        fresh[panel.fresh.top:panel.fresh.bottom, panel.fresh.left:panel.fresh.right] += 1
    np.testing.assert_array_equal(again, whole)
    assert times.min() == 1
    assert (fresh == 1).all()
    shared = np.count_nonzero(times > 1) / whole.shape[0] * 25.4 / _DPI
    if count == 2 and width_mm < 100:
        assert shared == pytest.approx(15.0, abs=0.6)


@pytest.mark.parametrize("reading", ["right-reading", "mirrored"])
def test_neighbours_show_the_same_splice_crosses_outside_the_art(
        tmp_path: Path, small_film: BuildFilm, label: FilmLabel, reading: Reading) -> None:
    sheet = _sheet(reading)
    shown = prepare(small_film(sheet))
    first, second = _plan(sheet, PrinterRoom(width_mm=80.0, length_mm=900.0, overlap_mm=15.0))
    pages = []
    for panel in (first, second):
        path = tmp_path / f"{panel.number}.pdf"
        write_film(path, panel_dots(shown, panel), panel.sheet, label, shapes=panel.shapes)
        grid = panel.sheet.page_grid
        with rendered_page(path, grid.columns, grid.rows) as rendered:
            page = rendered.ink_in(Box(0, 0, grid.columns, grid.rows))
        pages.append(page[:, ::-1] if reading == "mirrored" else page)
    begin = second.art.left - first.art.left + first.sheet.art_box.left
    shared = pages[0].shape[1] - begin
    apron = sheet.pixels(APRON_MM)
    for rows in (slice(0, apron), slice(-apron, None)):
        crosses = pages[0][rows, begin:]
        np.testing.assert_array_equal(crosses, pages[1][rows, :shared])
        assert crosses.any()
    np.testing.assert_array_equal(pages[0][:sheet.art_box.top, begin:],
                                  pages[1][:sheet.art_box.top, :shared])
    for shape in splice_crosses(sheet, ((begin, begin + shared),), ()):
        assert isinstance(shape, Box)
        assert shape.bottom < sheet.art_box.top or shape.top > sheet.art_box.bottom


def test_each_panel_is_told_and_mapped() -> None:
    panels = _plan(_sheet(), PrinterRoom(width_mm=80.0, length_mm=200.0, overlap_mm=15.0))
    assert [panel.told for panel in panels] == [
        "panel 1 of 4, 1 of 2 from the left, 1 of 2 from the nose",
        "panel 2 of 4, 2 of 2 from the left, 1 of 2 from the nose",
        "panel 3 of 4, 1 of 2 from the left, 2 of 2 from the nose",
        "panel 4 of 4, 2 of 2 from the left, 2 of 2 from the nose"]


def test_three_by_three_panels_would_have_one_without_an_edge() -> None:
    assert panels_fit(_sheet(), PrinterRoom(width_mm=80.0, length_mm=200.0, overlap_mm=15.0))
    assert not panels_fit(_sheet(), PrinterRoom(width_mm=52.0, length_mm=122.0, overlap_mm=15.0))
    assert not panels_fit(_sheet(), PrinterRoom(width_mm=52.0, length_mm=70.0, overlap_mm=15.0))
