"""The press strip: each mark measured on the rendered film, and verniers read as a printer does."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.job_file.job_values import PRESS_MARKS
from separations.films.document_facts import DocumentFacts
from separations.films.film_page import film_page
from separations.films.film_sheet import Box, FilmSheet, PressRoom, film_sheet
from separations.films.mark_fields import (
    EXPOSURE_FIELDS,
    EXPOSURE_LINES_UM,
    HOLES,
    RESOLVED_PIXELS,
    Corner,
    FilmOfJob,
    overprint_sets,
)
from separations.films.marks import WEDGE_PERCENT, Shape, Words, marks, wedge_box
from separations.films.page_rendering import rendered_page
from separations.films.press_marks import (
    PressMarks,
    press_shapes,
    strip_mm,
    strip_parts,
    thinned_bars,
)
from separations.films.wrapped_text import PLAIN_FONT, register_fonts, text_width_pt
from separations.pipeline.session import Session
from separations.pipeline.stages import FILM_SHEET

COUNT = 3
WIDTH_MM = 300.0


def _sheet(press: PressMarks, dpi: float = 1440.0, width_mm: float = WIDTH_MM) -> FilmSheet:
    half = width_mm / 2

    def laid(strip: float) -> FilmSheet:
        return film_sheet((-20.0, -half, 20.0, half), (-15.0, 5 - half, 15.0, half - 5), dpi,
                          press=PressRoom(strip_mm=strip))

    return laid(strip_mm(press, strip_parts(laid(0.0))))


def _shapes(sheet: FilmSheet, press: PressMarks, order: int) -> tuple[Shape, ...]:
    return press_shapes(sheet, press, FilmOfJob(order=order, count=press.inks),
                        ("Film of Yellow", "tone curve", "steel rule"))


def _boxes(sheet: FilmSheet, press: PressMarks, order: int = 1) -> list[Box]:
    return [shape for shape in _shapes(sheet, press, order) if isinstance(shape, Box)]


def _around(boxes: list[Box]) -> Box:
    return Box(min(b.left for b in boxes), min(b.top for b in boxes),
               max(b.right for b in boxes), max(b.bottom for b in boxes))


def _bits(sheet: FilmSheet, shapes: tuple[Shape, ...], box: Box) -> NDArray[np.bool_]:
    """A part of the page as PDFium renders it."""
    page = film_page(sheet, shapes, (), (), DocumentFacts(title="Marks", date="2026-11-25"))
    with rendered_page(page.document, sheet.page_grid.columns, sheet.page_grid.rows) as rendered:
        return rendered.ink_in(box)


def _only(name: str) -> PressMarks:
    return PressMarks(names=(name,), inks=COUNT)


def _runs(line: NDArray[np.bool_]) -> list[int]:
    """Lengths of the inked runs along a line of pixels."""
    edges = np.flatnonzero(np.diff(line.astype(np.int8), prepend=0, append=0))
    return [int(end - start) for start, end in zip(edges[::2], edges[1::2], strict=True)]


@pytest.mark.parametrize("order", [1, 2, 3])
def test_each_film_shows_its_marks_to_the_pixel(order: int) -> None:
    """What PDFium renders of the strip is just the marks' bars, lettering aside."""
    press = PressMarks(names=PRESS_MARKS, inks=COUNT)
    sheet = _sheet(press)
    shapes = _shapes(sheet, press, order)
    boxes = [shape for shape in shapes if isinstance(shape, Box)]
    strip = Box(0, 0, sheet.page_grid.columns, sheet.art_box.top - sheet.pixels(26.5))
    expected = np.zeros((strip.bottom, strip.right), np.bool_)
    for box in boxes:
        expected[box.top:box.bottom, box.left:box.right] = True
    found = _bits(sheet, tuple(boxes), strip)
    assert np.count_nonzero(found != expected) == 0
    lettered = _bits(sheet, shapes, strip)
    assert not (expected & ~lettered).any()


def test_solid_and_clear_patch_are_twenty_millimetres() -> None:
    sheet = _sheet(_only("density"))
    place = _around(_boxes(sheet, _only("density")))
    bits = _bits(sheet, _shapes(sheet, _only("density"), 1), place)
    pixel_mm = sheet.page_grid.pixel_mm
    runs = _runs(bits[len(bits) // 2])
    assert runs[0] * pixel_mm == pytest.approx(20.0, abs=pixel_mm)
    assert _runs(bits[:, 10])[0] * pixel_mm == pytest.approx(20.0, abs=pixel_mm)
    clear = bits[20:-20, -round(19.0 / pixel_mm):-20]
    assert not clear.any()


@pytest.mark.parametrize("dpi", [720.0, 1440.0, 2880.0])
def test_the_resolution_target_has_lines_and_holes_of_one_two_and_three_pixels(
        dpi: float) -> None:
    press = _only("resolution")
    sheet = _sheet(press, dpi)
    place = _around(_boxes(sheet, press))
    bits = _bits(sheet, tuple(_boxes(sheet, press)), place)
    pitch, high = round(5.5 / sheet.page_grid.pixel_mm), round(4.0 / sheet.page_grid.pixel_mm)
    below = round(4.5 / sheet.page_grid.pixel_mm)
    for number, pixels in enumerate(RESOLVED_PIXELS):
        column = slice(number * pitch, number * pitch + high)
        upright = bits[high // 2, column]
        level = bits[below + 2:below + high - 2, number * pitch + high // 2]
        for line in (upright, level):
            assert set(_runs(line)[1:-1]) == {pixels}
            assert set(_runs(~line)[1:-1]) == {pixels}
        holes = ~bits[2 * below + 3:2 * below + high - 3, column][:, 3:-3]
        rows = np.flatnonzero(holes.any(axis=1))
        assert len(rows) == HOLES * pixels
        assert set(_runs(holes[rows[0]])) == {pixels}
        assert len(_runs(holes[rows[0]])) == HOLES


@pytest.mark.parametrize("dpi", [600.0, 1440.0, 2880.0])
def test_the_exposure_scales_fields_are_alike_and_their_lines_as_wide_as_told(dpi: float) -> None:
    press = _only("exposure")
    sheet = _sheet(press, dpi)
    pixel_mm = sheet.page_grid.pixel_mm
    place = _around(_boxes(sheet, press))
    bits = _bits(sheet, tuple(_boxes(sheet, press)), place)
    line_row, gap_row = round(2.0 / pixel_mm), round(6.5 / pixel_mm)
    # The first line begins half a millimetre within its field, where the solid below it begins.
    first = min(box.left for box in _boxes(sheet, press)) - place.left
    for number in range(EXPOSURE_FIELDS):
        field = slice(first + round(12.0 * number / pixel_mm),
                      first + round((12.0 * number + 9.9) / pixel_mm))
        lines, gaps = _runs(bits[line_row, field]), _runs(~bits[gap_row, field])
        told = [max(1, round(um / 1000 / pixel_mm)) for um in EXPOSURE_LINES_UM]
        assert lines == gaps == told


@pytest.mark.parametrize("dpi", [72.0, 150.0, 300.0, 400.0])
def test_bars_stay_bars_on_films_of_large_pixels(dpi: float) -> None:
    press = PressMarks(names=PRESS_MARKS, inks=COUNT)
    sheet = _sheet(press, dpi)
    for order in (1, 2, 3):
        assert all(box.left < box.right and box.top < box.bottom
                   for box in _boxes(sheet, press, order))


def test_ticks_are_a_tenth_of_a_millimetre_wide() -> None:
    sheet = _sheet(_only("vernier"))
    corner = Corner(sheet=sheet, left=100, top=100)
    upright, level = (corner.tick(5.0, 5.0, 3.0, level=level) for level in (False, True))
    pixel_mm = sheet.page_grid.pixel_mm
    for wide in (upright.right - upright.left, level.bottom - level.top):
        assert wide * pixel_mm == pytest.approx(0.1, abs=pixel_mm)


def _tick_middles(line: NDArray[np.bool_], pixel_mm: float) -> NDArray[np.float64]:
    edges = np.flatnonzero(np.diff(line.astype(np.int8), prepend=0, append=0))
    return (edges[1::2] + edges[::2]) / 2 * pixel_mm


@pytest.mark.parametrize("dpi", [1440.0, 2880.0])
@pytest.mark.parametrize(("across_mm", "along_mm"), [(0.15, 0.0), (-0.15, 0.15), (0.0, -0.35)])
def test_a_vernier_reads_how_far_two_films_lie_apart(dpi: float, across_mm: float,
                                                     along_mm: float) -> None:
    """Film 2 is moved over film 1 and the ticks that meet are counted from the middle."""
    press = PressMarks(names=("vernier",), inks=2)
    sheet = _sheet(press, dpi)
    pixel_mm = sheet.page_grid.pixel_mm
    both = _boxes(sheet, press, 1) + _boxes(sheet, press, 2)
    place = _around(both)
    first, second = (_bits(sheet, tuple(_boxes(sheet, press, order)), place) for order in (1, 2))
    right, down = round(across_mm / pixel_mm), round(along_mm / pixel_mm)
    moved = np.roll(second, (down, right), axis=(0, 1))
    # Rows and columns through the short ticks on either side of the line where the scales meet.
    fold_row = round(3.5 / pixel_mm)
    near = round(1.0 / pixel_mm)
    wide = round(20.5 / pixel_mm)
    main = _tick_middles(first[fold_row - near, :wide], pixel_mm)
    vernier = _tick_middles(moved[fold_row + near, :wide], pixel_mm)
    assert len(main) == len(vernier) == 21
    assert _read(main, vernier) == pytest.approx(across_mm, abs=0.001)
    fold_column = round((28.0 - 1.0) / pixel_mm)
    main = _tick_middles(first[:, fold_column - near], pixel_mm)
    vernier = _tick_middles(moved[:, fold_column + near], pixel_mm)
    assert len(main) == len(vernier) == 21
    assert _read(main, vernier) == pytest.approx(along_mm, abs=0.001)


def _read(main: NDArray[np.float64], vernier: NDArray[np.float64]) -> float:
    return (int(np.abs(main - vernier).argmin()) - 10) * 0.05


def test_the_turning_mark_is_like_itself_in_no_other_way_round() -> None:
    sheet = _sheet(_only("turn"))
    place = _around(_boxes(sheet, _only("turn")))
    bits = _bits(sheet, tuple(_boxes(sheet, _only("turn"))), place)
    for other in (bits[::-1, ::-1], bits[:, ::-1], bits[::-1]):
        assert (other != bits).mean() > 0.2
    assert place.right < sheet.page_grid.columns / 4
    assert place.bottom < sheet.art_box.top


def test_overprint_patches_go_by_print_order() -> None:
    assert overprint_sets(2) == ((1,), (2,), (1, 2))
    assert overprint_sets(3) == ((1,), (2,), (3,), (1, 2), (1, 3), (2, 3), (1, 2, 3))
    assert (6, 7) in overprint_sets(7)
    assert (1, 7) not in overprint_sets(7)
    press = _only("overprints")
    sheet = _sheet(press)
    inked = {order: {box.left for box in _boxes(sheet, press, order)} for order in (1, 2, 3)}
    patches = sorted(set.union(*inked.values()))
    assert tuple(tuple(order for order in inked if left in inked[order])
                 for left in patches) == overprint_sets(3)


def _extent(sheet: FilmSheet, shape: Shape) -> Box:
    if not isinstance(shape, Words):
        assert isinstance(shape, Box)
        return shape
    register_fonts()
    wide = round(text_width_pt(shape.text, PLAIN_FONT, shape.size_pt) / sheet.point_per_pixel)
    left = shape.column - {"left": 0, "centre": wide // 2, "right": wide}[shape.align]
    return Box(left, shape.row - round(0.75 * shape.size_pt / sheet.point_per_pixel), left + wide,
               shape.row)


def _meet(a: Box, b: Box) -> bool:
    return a.left < b.right and b.left < a.right and a.top < b.bottom and b.top < a.bottom


@pytest.mark.parametrize("width_mm", [90.0, 140.0, 300.0])
@pytest.mark.parametrize("inks", [1, 2, 4, 8])
def test_marks_lie_apart_on_the_film_and_outside_the_image(width_mm: float, inks: int) -> None:
    press = PressMarks(names=PRESS_MARKS, inks=inks)
    sheet = _sheet(press, 720.0, width_mm)
    page = Box(0, 0, sheet.page_grid.columns, sheet.page_grid.rows)
    common = [shape for shape in marks(sheet) if isinstance(shape, Box)]
    for order in (1, inks):
        shapes = _shapes(sheet, press, order)
        extents = [_extent(sheet, shape) for shape in shapes]
        assert all(page.left <= e.left and e.right <= page.right and page.top <= e.top
                   for e in extents)
        assert all(e.bottom < sheet.art_box.top for e in extents)
        words = [e for e, shape in zip(extents, shapes, strict=True) if isinstance(shape, Words)]
        for number, word in enumerate(words):
            assert sum(_meet(word, e) for e in (*extents, *common)) == 1, number  # itself


def test_each_mark_can_be_left_out() -> None:
    for name in PRESS_MARKS:
        rest = PressMarks(names=tuple(n for n in PRESS_MARKS if n != name), inks=COUNT)
        every = PressMarks(names=PRESS_MARKS, inks=COUNT)
        alone = _only(name)
        if name == "thinned":
            continue  # its bars lie under the wedge
        assert len(_shapes(_sheet(rest), rest, 1)) < len(_shapes(_sheet(every), every, 1))
        assert _shapes(_sheet(alone), alone, 1)
    assert _sheet(PressMarks()).strip_mm == 0.0
    assert _shapes(_sheet(PressMarks()), PressMarks(), 1) == ()


def test_words_at_the_nose_hold_only_what_their_font_can_show() -> None:
    press = _only("nose label")
    shapes = press_shapes(_sheet(press), press, FilmOfJob(order=1, count=COUNT),
                          ("Film of Жар", "45\u00a0lpi"))
    assert [shape.text for shape in shapes if isinstance(shape, Words)] == ["Film of ???", "45 lpi"]


def test_bars_stand_under_the_steps_that_are_thinned() -> None:
    sheet = _sheet(PressMarks())
    box = wedge_box(sheet)
    step = (box.right - box.left) // len(WEDGE_PERCENT)
    bars = thinned_bars(sheet, 0.031, 0.965)
    under = [WEDGE_PERCENT[(bar.left - box.left) // step] for bar in bars if isinstance(bar, Box)]
    assert under == [1, 2, 3, 97, 98, 99]
    assert all(bar.top >= box.bottom for bar in bars if isinstance(bar, Box))


def test_the_strip_is_made_where_frame_and_printer_have_the_room(
        small_job: Callable[..., Path]) -> None:
    roomy = Session(small_job()).of(FILM_SHEET)
    assert roomy.strip_mm > 0
    assert roomy.page_length_mm < 600
    tight = Session(small_job(('"60 cm"', '"45 cm"'))).of(FILM_SHEET)
    assert tight.strip_mm == 0
    asked = Session(small_job(('"60 cm"', '"45 cm"'), (
        "[film]", '[film]\nmarks = ["turn", "vernier"]'))).of(FILM_SHEET)
    assert 0 < asked.strip_mm < roomy.strip_mm
    none = Session(small_job(("[film]", "[film]\nmarks = []"))).of(FILM_SHEET)
    assert none.strip_mm == 0
