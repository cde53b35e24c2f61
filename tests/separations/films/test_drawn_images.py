"""Where a page draws its images, and films whose page draws them elsewhere."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pikepdf
import pytest

from separations.films import read_back as reading
from separations.films.film_label import FilmLabel
from separations.films.film_pdf import write_film
from separations.films.film_sheet import FilmSheet
from separations.films.page_rendering import drawn_images
from separations.films.read_back import FilmReadBackError, read_back
from separations.halftone.film_content import FilmContent

BuildSheet = Callable[..., FilmSheet]
BuildFilm = Callable[..., FilmContent]


def test_matrices_multiply_from_the_left_and_are_restored() -> None:
    pdf = pikepdf.new()
    page = pdf.add_blank_page(page_size=(100, 100))
    page.contents_add(b"q 2 0 0 2 10 0 cm q 0 3 -3 0 5 7 cm /A Do Q /B Do Q /C Do")
    assert drawn_images(page) == [
        ("A", (0.0, 6.0, -6.0, 0.0, 20.0, 14.0)), ("B", (2.0, 0.0, 0.0, 2.0, 10.0, 0.0)),
        ("C", (1.0, 0.0, 0.0, 1.0, 0.0, 0.0))]


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("change", ["moved", "turned over", "left out", "twice"])
def test_a_film_whose_page_draws_its_dots_elsewhere_is_refused_without_rendering(
        tmp_path: Path, small_sheet: BuildSheet, small_film: BuildFilm, label: FilmLabel,
        change: str, mirrored: bool) -> None:
    sheet = small_sheet(reading="mirrored") if mirrored else small_sheet()
    content = small_film(sheet)
    record = write_film(tmp_path / "film.pdf", content, sheet, label)
    read_back(record, content, sheet, views=False)
    with pikepdf.open(record.path, allow_overwriting_input=True) as pdf:
        page = pdf.pages[0]
        drawn = list(pikepdf.parse_content_stream(page))
        where = next(i for i, step in enumerate(drawn) if str(step.operator) == "cm")
        a, b, c, d, e, f = (float(value) for value in drawn[where].operands)
        if change == "left out":
            del drawn[where + 1]
        elif change == "twice":
            drawn.insert(where + 1, drawn[where + 1])
        else:
            moved = ([a, b, c, d, e + 0.05, f] if change == "moved" else [-a, b, c, d, e + a, f])
            drawn[where] = pikepdf.ContentStreamInstruction(
                [pikepdf.Object.parse(f"{value:.6f}".encode()) for value in moved],
                pikepdf.Operator("cm"))
        page.Contents = pdf.make_stream(pikepdf.unparse_content_stream(drawn))
        pdf.save(record.path)
    changed = replace(record, sha256=reading._sha256(record.path))
    with pytest.raises(FilmReadBackError, match=r"drawn .* from its place|does not draw"):
        read_back(changed, content, sheet, views=False)
