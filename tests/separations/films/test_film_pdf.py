"""Film files: the same bytes each time, right in every reader, coded either way."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pikepdf
import pytest

from separations.films import film_pdf
from separations.films.film_label import FilmLabel
from separations.films.film_pdf import write_film
from separations.films.film_record import Coding
from separations.films.film_sheet import FilmSheet, Reading
from separations.films.read_back import read_back
from separations.halftone.film_bands import film_bands
from separations.halftone.film_content import FilmContent

BuildSheet = Callable[..., FilmSheet]
BuildFilm = Callable[..., FilmContent]


def test_same_film_same_bytes_with_any_number_of_workers(
        tmp_path: Path, small_sheet: BuildSheet, small_film: BuildFilm, label: FilmLabel) -> None:
    sheet = small_sheet()
    content = small_film(sheet)
    records = [write_film(tmp_path / f"{workers}.pdf", content, sheet, label, workers=workers)
               for workers in (1, 2, 3)]
    assert len({record.path.read_bytes() for record in records}) == 1
    assert len({record.sha256 for record in records}) == 1


@pytest.mark.parametrize("coding", ["group4", "deflate"])
@pytest.mark.parametrize("reading", ["right-reading", "mirrored"])
def test_written_films_read_back_in_stacked_images_too(
        tmp_path: Path, small_sheet: BuildSheet, small_film: BuildFilm, label: FilmLabel,
        coding: Coding, reading: Reading, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(film_pdf, "MOST_GROUP4_PIXELS", 2900)
    sheet = small_sheet(reading=reading)
    content = small_film(sheet)
    record = write_film(tmp_path / "film.pdf", content, sheet, label, coding=coding)
    assert len(record.parts) == (2 if coding == "group4" else 1)
    read_back(record, content, sheet)


def test_ink_is_counted_from_the_dots(tmp_path: Path, small_sheet: BuildSheet,
                                      small_film: BuildFilm, label: FilmLabel) -> None:
    sheet = small_sheet()
    content = small_film(sheet)
    record = write_film(tmp_path / "film.pdf", content, sheet, label)
    inked = sum(int(np.bitwise_count(band).sum()) for band in film_bands(content))
    assert record.ink_pixels == inked
    cells = record.coverage
    assert cells.share[0, 0] == 1.0
    assert cells.share[-1, -1] == 0.0
    assert record.mean_tone == pytest.approx(0.5, abs=0.02)


def test_documents_say_what_they_are_without_a_clock(
        tmp_path: Path, small_sheet: BuildSheet, small_film: BuildFilm, label: FilmLabel) -> None:
    sheet = small_sheet()
    record = write_film(tmp_path / "film.pdf", small_film(sheet), sheet, label)
    assert record.file_bytes == record.path.stat().st_size
    with pikepdf.open(record.path) as pdf:
        assert not pdf.check_pdf_syntax()
        assert str(pdf.docinfo["/Title"]) == "Ridge, first light: deep blue"
        assert str(pdf.docinfo["/Creator"]) == "topsheet"
        assert str(pdf.docinfo["/CreationDate"]) == "D:20260301"
        with pdf.open_metadata() as told:
            assert told["xmp:CreateDate"] == "2026-03-01"
        fonts = [font.DescendantFonts[0].FontDescriptor if "/DescendantFonts" in font
                 else font.FontDescriptor for font in pdf.pages[0].resources.Font.values()
                 if "/FontDescriptor" in font or "/DescendantFonts" in font]
        assert fonts
        assert all("/FontFile2" in font for font in fonts)


def test_a_film_of_another_grid_is_refused(tmp_path: Path, small_sheet: BuildSheet,
                                           small_film: BuildFilm, label: FilmLabel) -> None:
    with pytest.raises(ValueError, match="grid is not the sheet's"):
        write_film(tmp_path / "film.pdf", small_film(small_sheet(720.0)), small_sheet(600.0),
                   label)
