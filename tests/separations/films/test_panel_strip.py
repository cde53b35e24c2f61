"""The press strip on panels: every field whole on one panel, wherever the seams come to lie."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from preflight.job_file.job_values import PRESS_MARKS
from separations.films.film_sheet import Box, FilmSheet, PressRoom, film_sheet
from separations.films.mark_fields import FilmOfJob
from separations.films.marks import Ring, Shape, Words
from separations.films.page_rendering import rendered_page
from separations.films.panels import (
    Panel,
    PrinterRoom,
    QuietArt,
    parts_without_seams_mm,
    plan_panels,
)
from separations.films.press_marks import (
    PressMarks,
    press_shapes,
    strip_mm,
    strip_parts,
    too_wide,
)
from separations.films.register_pins import pin_shapes
from separations.films.splice_marks import APRON_MM, part_of
from separations.pipeline.calls import make_films
from separations.pipeline.session import Session
from separations.pipeline.stages import FILM_SHEET
from tests.coarse_job import write_coarse_job

DPI = 300.0
ALL = PressMarks(names=PRESS_MARKS, inks=3)


def _sheet(width_mm: float, room: PrinterRoom, press: PressMarks = ALL) -> FilmSheet:
    half = width_mm / 2

    def laid(found: PressRoom) -> FilmSheet:
        return film_sheet((-150.0, -half, 150.0, half), (-145.0, 5 - half, 145.0, half - 5), DPI,
                          further_lines=4, apron_mm=APRON_MM, press=found)

    parts = parts_without_seams_mm(laid(PressRoom()), room)
    bare = laid(PressRoom(parts_mm=parts))
    return laid(PressRoom(parts_mm=parts, strip_mm=strip_mm(press, strip_parts(bare))))


def _panels(sheet: FilmSheet, room: PrinterRoom, seed: int) -> tuple[Panel, ...]:
    """Panels whose seams lie where made-up ink wants them."""
    made, mm = np.random.default_rng(seed), sheet.page_grid.pixel_mm
    ink = []
    for size_mm, first, end in (
            (sheet.page_width_mm, sheet.art_box.left, sheet.art_box.right),
            (sheet.page_length_mm, sheet.art_box.top, sheet.art_box.bottom)):
        ink.append(made.random(int(size_mm) + 1))
        place = np.arange(len(ink[-1])) / mm
        ink[-1][(place < first) | (place > end)] = np.inf
    return plan_panels(sheet, room, QuietArt(columns=ink[0], rows=ink[1]))


def _strip(sheet: FilmSheet, order: int, press: PressMarks = ALL) -> tuple[Shape, ...]:
    return press_shapes(sheet, press, FilmOfJob(order=order, count=press.inks), ("Film", "Set up"))


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize(("width_mm", "printer_mm", "length_mm", "columns"), [
    (300.0, 260.0, 900.0, 2), (300.0, 310.0, 900.0, 2), (300.0, 200.0, 900.0, 2),
    (300.0, 200.0, 300.0, 2), (300.0, 145.0, 900.0, 3), (120.0, 900.0, 280.0, 1)])
def test_no_seam_cuts_a_field(width_mm: float, printer_mm: float, length_mm: float, columns: int,
                              seed: int) -> None:
    room = PrinterRoom(width_mm=printer_mm, length_mm=length_mm, overlap_mm=15.0)
    sheet = _sheet(width_mm, room)
    panels = _panels(sheet, room, seed)
    assert panels[0].columns == columns
    for order in (1, 2, 3):
        strip = _strip(sheet, order)
        bars = [shape for shape in strip if isinstance(shape, Box)]
        assert len(bars) > 100
        shown = [_moved(shape, panel) for panel in panels
                 for shape in part_of(strip, panel.page) if isinstance(shape, Box)]
        assert sorted(shown) == sorted(bars), "each bar whole, and on one panel alone"
        words = [shape for shape in strip if isinstance(shape, Words)]
        assert sum(isinstance(shape, Words) for panel in panels
                   for shape in part_of(strip, panel.page)) == len(words)


def _moved(bar: Box, panel: Panel) -> Box:
    """A panel's bar on the whole film's page."""
    down, right = panel.page.top, panel.page.left
    return Box(bar.left + right, bar.top + down, bar.right + right, bar.bottom + down)


def test_the_nose_label_stands_on_either_side_of_the_seams() -> None:
    room = PrinterRoom(width_mm=260.0, length_mm=900.0, overlap_mm=15.0)
    sheet = _sheet(300.0, room)
    for panel in _panels(sheet, room, 0):
        texts = [shape.text for shape in part_of(_strip(sheet, 1), panel.page)
                 if isinstance(shape, Words)]
        assert texts.count("Film") == texts.count("Set up") == 1


def test_what_is_wider_than_a_panels_own_part_is_left_out_by_name() -> None:
    room = PrinterRoom(width_mm=150.0, length_mm=900.0, overlap_mm=15.0)
    sheet = _sheet(160.0, room)
    parts = strip_parts(sheet)
    assert max(end - first for first, end in parts) < 60.0
    assert too_wide(ALL, parts) == ("exposure",)
    assert too_wide(PressMarks(names=("turn", "vernier"), inks=3), parts) == ()
    assert not any(shape.text.startswith("step") for shape in _strip(sheet, 1)
                   if isinstance(shape, Words))
    assert any(shape.text == "2 on 1" for shape in _strip(sheet, 1) if isinstance(shape, Words))


def test_a_pin_is_whole_on_a_panel_wherever_the_seam_lies() -> None:
    room = PrinterRoom(width_mm=260.0, length_mm=900.0, overlap_mm=15.0)
    sheet = _sheet(300.0, room)
    panels = _panels(sheet, room, 1)
    for y_mm in range(-120, 121, 3):
        pin = pin_shapes(sheet, 210.0, float(y_mm))
        wide = pin[1].right - pin[1].left
        shown = [part_of(pin, panel.page) for panel in panels]
        assert any(isinstance(shape, Box) and shape.right - shape.left == wide
                   for part in shown for shape in part), y_mm
        assert any(isinstance(shape, Ring) for part in shown for shape in part), y_mm


def _panelled(folder: Path, *film: str) -> Path:
    lines = "\n".join(['"300 dpi"', 'width = "120 mm"', "panels = true", *film])
    return write_coarse_job(folder, ('"300 dpi"', lines))


def test_a_jobs_panels_show_its_strip_and_pins(tmp_path: Path) -> None:
    job = _panelled(tmp_path / "job")
    job.write_text(job.read_text(encoding="utf-8").replace(
        "[frame]", '[frame]\npins = [["235 mm", "-20 mm"]]'), encoding="utf-8")
    sheet = Session(job).of(FILM_SHEET)
    assert sheet.strip_mm > 0
    made = make_films(job, tmp_path / "out")
    film = made.films[1]
    assert len(film.panels) == 2
    strip = _strip(sheet, 2, PressMarks(names=PRESS_MARKS, inks=2))
    bars = [shape for shape in strip if isinstance(shape, Box)]
    shown = 0
    for panel in film.panels:
        with pypdfium2.PdfDocument(tmp_path / "out" / panel.file) as document:
            text = " ".join(document[0].get_textpage().get_text_bounded().split())
        assert "Film 2 of 2: Black" in text
        assert "too narrow for the marks: density, exposure" in text
        columns = round(panel.page_width_mm * DPI / 25.4)
        rows = round(panel.page_length_mm * DPI / 25.4)
        left = (0 if panel.number == 1 else
                round(sheet.page_width_mm * DPI / 25.4) - columns)
        with rendered_page(tmp_path / "out" / panel.file, columns, rows) as rendered:
            for bar in bars:
                if left <= bar.left and bar.right <= left + columns:
                    place = bar._replace(left=bar.left - left, right=bar.right - left)
                    assert rendered.ink_in(place).all()
                    shown += 1
    assert shown == len(bars)


def test_a_strip_that_would_take_a_further_panel_is_left_out(tmp_path: Path) -> None:
    """The film is 433 mm long without the strip; two panels of 268 mm do, with it three would."""
    write: Callable[..., Path] = _panelled
    roomy = Session(write(tmp_path / "a", 'length = "30 m"')).of(FILM_SHEET)
    length_mm = roomy.page_length_mm - roomy.strip_mm
    tight = f'length = "{length_mm / 2 + 55:.0f} mm"'
    assert roomy.strip_mm > 0
    assert Session(write(tmp_path / "b", tight)).of(FILM_SHEET).strip_mm == 0
    assert Session(write(tmp_path / "c", tight, 'marks = ["turn"]')).of(FILM_SHEET).strip_mm > 0
