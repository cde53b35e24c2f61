"""Pin targets: where the job wants them, on a film that reaches to them, or refused."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from preflight.frames.film_scale import FilmScale
from preflight.input_problem import InputProblem
from separations.films.document_facts import DocumentFacts
from separations.films.film_page import film_page
from separations.films.film_sheet import Box, film_sheet
from separations.films.page_rendering import rendered_page
from separations.films.register_pins import PIN_ARM_MM, pin_shapes
from separations.pipeline.session import Session
from separations.pipeline.stages import FILM_SHEET


def test_a_pin_is_drawn_where_the_frame_has_it(small_job: Callable[..., Path]) -> None:
    path = small_job(("[frame]", '[frame]\npins = [["310 mm", "0 mm"], ["-120 mm", "90 mm"]]'))
    sheet = Session(path).of(FILM_SHEET)
    plain = Session(small_job()).of(FILM_SHEET)
    assert sheet.art_grid == plain.art_grid
    assert sheet.page_width_mm > plain.page_width_mm
    for x_mm, y_mm in ((310.0, 0.0), (-120.0, 90.0)):
        shapes = pin_shapes(sheet, x_mm, y_mm)
        page = film_page(sheet, shapes, (), (), DocumentFacts(title="Pins", date="2026-11-25"))
        row, column = sheet.row(x_mm), sheet.column(y_mm)
        reach = sheet.pixels(PIN_ARM_MM)
        with rendered_page(page.document, sheet.page_grid.columns,
                           sheet.page_grid.rows) as rendered:
            bits = rendered.ink_in(Box(column - reach - 3, row - reach - 3, column + reach + 3,
                                       row + reach + 3))
        rows, columns = np.nonzero(bits)
        assert (rows.min() + rows.max() + 1) / 2 == reach + 3
        assert (columns.min() + columns.max() + 1) / 2 == reach + 3
        assert (rows.max() + 1 - rows.min()) * sheet.page_grid.pixel_mm == pytest.approx(
            2 * PIN_ARM_MM, abs=sheet.page_grid.pixel_mm)


def test_a_film_larger_than_its_print_has_its_pins_larger_apart() -> None:
    sheet = film_sheet((-250.0, -150.0, 250.0, 150.0), (-245.0, -145.0, 245.0, 145.0), 1440.0,
                       scale=FilmScale(along=1.004, across=0.99))
    middle, nose, left = (pin_shapes(sheet, *place)[2]
                          for place in ((0.0, 0.0), (200.0, 0.0), (0.0, 100.0)))
    pixel_mm = sheet.page_grid.pixel_mm
    assert (middle.row - nose.row) * pixel_mm == pytest.approx(200.8, abs=pixel_mm)
    assert (middle.column - left.column) * pixel_mm == pytest.approx(99.0, abs=pixel_mm)
    assert (nose.column, left.row) == (middle.column, middle.row)


@pytest.mark.parametrize("place", ['["0 mm", "0 mm"]', '["160 mm", "0 mm"]', '["-190 mm", "0 mm"]'])
def test_a_pin_in_the_image_or_on_another_mark_is_refused(small_job: Callable[..., Path],
                                                          place: str) -> None:
    path = small_job(("[frame]", f"[frame]\npins = [{place}]"))
    with pytest.raises(InputProblem, match=r"frame.pins\[1\].*would do") as refused:
        Session(path).of(FILM_SHEET)
    asked = str(refused.value).split('such as [')[1].split("]")[0]
    better = small_job(("[frame]", f"[frame]\npins = [[{asked}]]"))
    assert Session(better).of(FILM_SHEET).strip_mm > 0
