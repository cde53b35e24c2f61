"""Pictures of lines on the board: what is blank, and what lies beside the board."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from separations.halftone.film_bands import dots_in
from separations.planes.line_work import line_work, measure_lines
from tests.prepared_jobs import laid_out, prepare

LINES = '[[art]]\nfile = "lines.png"\nkind = "line"\nink = "Black"\nturn = 90\n'


@pytest.mark.parametrize(("drawn", "along_mm", "wholly_off", "is_blank"), [
    (0, 0, False, False), (255, 0, True, True), (0, 2900, True, False), (255, 2900, True, False)])
def test_blank_pictures_and_pictures_beside_the_board_are_told_apart(
        small_job: Callable[..., Path], drawn: int, along_mm: int, wholly_off: bool,
        is_blank: bool) -> None:
    path = small_job((LINES, LINES + f'offset_along = "{along_mm} mm"\n'))
    picture = path.parent / "lines.png"
    with Image.open(picture) as before:
        size = before.size
    Image.new("L", size, drawn).save(picture)
    laid = laid_out(path)
    facts, = measure_lines(laid, line_work(laid, finest_ppi=72))
    assert (facts.wholly_off, facts.is_blank) == (wholly_off, is_blank)


def test_ink_beyond_the_safe_area_is_counted_to_the_pixel(
        small_job: Callable[..., Path]) -> None:
    """The dark picture inks all of the board: the margin is the printed area less the safe one."""
    path = small_job()
    with Image.open(path.parent / "lines.png") as before:
        size = before.size
    Image.new("L", size, 0).save(path.parent / "lines.png")
    laid = laid_out(path)
    facts, = measure_lines(laid, line_work(laid, finest_ppi=300))
    margin = laid.area.printed.difference(laid.area.safe)
    inked = laid.art[-1].placed.polygon.intersection(margin).area
    assert facts.mm2_beyond_safe == pytest.approx(inked, rel=0.01)


@pytest.mark.parametrize("trap_mm", [
    0.3, *(pytest.param(trap_mm, marks=pytest.mark.long) for trap_mm in (0.25, 0.5))])
def test_other_inks_are_cleared_under_a_line_by_less_than_the_line_by_the_trap(
        small_job: Callable[..., Path], trap_mm: float) -> None:
    """Cyan runs so far under each edge of a black bar of 8 mm, to a film pixel in each."""
    path = small_job(("[separation]", f'[separation]\ntrap = "{trap_mm} mm"'),
                     ("600 dpi", "1440 dpi"))
    bar = Image.new("L", (2480, 720), 255)
    bar.paste(0, (1240 - 32, 0, 1240 + 32, 720))  # 64 pixels of 8 to the mm
    bar.save(path.parent / "lines.png")
    Image.new("RGB", (1240, 360), (0, 0, 0)).save(path.parent / "photo.png")
    cyan = prepare(path).contents[2]
    grid = cyan.film_grid
    middle, across = round(grid.row_of(0.0)), grid.columns // 2
    rows = middle - 400, middle + 400
    cleared = (~dots_in(cyan, *rows, across, across + 40)).all(axis=1).sum() * grid.pixel_mm
    assert cleared == pytest.approx(8.0 - 2 * trap_mm, abs=2 * grid.pixel_mm)
