"""How much room labels of panels take."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from separations.films.film_sheet import FilmSheet, film_sheet
from separations.films.job_label import panel_lines_needed
from separations.films.panels import PrinterRoom, split_of
from separations.films.splice_marks import CELL_MM
from tests.prepared_jobs import laid_out


def _sheet(page_width_mm: float) -> FilmSheet:
    def wide(art_mm: float) -> FilmSheet:
        half = art_mm / 2
        return film_sheet((-150.0, -half, 150.0, half), (-145.0, 5 - half, 145.0, half - 5), 720.0)

    return wide(page_width_mm - wide(100.0).page_width_mm + 100.0)


def test_panels_of_one_width_need_one_height_of_label(small_job: Callable[..., Path]) -> None:
    """The narrower of two side by side, and one of two above each other that is as wide.

    The scheme of panels beside the label is a cell wider in the first.
    """
    laid = laid_out(small_job(("[film]", "[film]\nmarks = []")))
    beside = PrinterRoom(width_mm=200.0, length_mm=900.0, overlap_mm=15.0)
    above = PrinterRoom(width_mm=900.0, length_mm=260.0, overlap_mm=15.0)
    whole = _sheet(300.0)
    columns, rows, width_mm = split_of(whole, beside)
    narrow = _sheet(width_mm - CELL_MM)
    assert (columns, rows) == (2, 1)
    assert split_of(narrow, above)[:2] == (1, 2)
    assert panel_lines_needed(laid, whole, beside) == panel_lines_needed(laid, narrow, above)
