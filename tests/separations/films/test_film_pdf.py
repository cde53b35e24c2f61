"""Film files: the same bytes each time, right in every reader, coded either way."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pikepdf
import pytest

from separations.films import film_images
from separations.films.film_label import FilmLabel
from separations.films.film_pdf import wedge_content, write_film
from separations.films.film_record import Coding
from separations.films.film_sheet import FilmSheet, Reading
from separations.films.marks import WEDGE_PERCENT
from separations.films.read_back import make_film, read_back
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
    monkeypatch.setattr(film_images, "MOST_IMAGE_ROWS", 2900)
    sheet = small_sheet(reading=reading)
    content = small_film(sheet)
    record = write_film(tmp_path / "film.pdf", content, sheet, label, coding=coding)
    assert len(record.parts) == 2
    assert record.parts[1].first_row < record.parts[1].first_new_row == record.parts[0].end_row
    alone = write_film(tmp_path / "alone.pdf", content, sheet, label, coding=coding, workers=1)
    assert record.dots_digest == alone.dots_digest
    assert record.ink_pixels == sum(int(np.bitwise_count(b).sum()) for b in film_bands(content))
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


@pytest.mark.parametrize("small_dots", ["drop", "hold", "thin"])
def test_a_films_wedge_prints_the_tones_that_stand_over_it(
        small_sheet: BuildSheet, small_film: BuildFilm, small_dots: str) -> None:
    """Counted in the wedge's dots, with ends at which the art's dots are dropped or held."""
    sheet = small_sheet()
    content = small_film(sheet, smallest_tone=0.06, largest_tone=0.9, small_dots=small_dots)
    wedge = wedge_content(sheet, content)
    columns = wedge.film_grid.columns
    bits = np.unpackbits(np.concatenate(list(film_bands(wedge))), axis=1)[:, :columns]
    steps = np.array_split(bits, len(WEDGE_PERCENT), axis=1)
    found = [100 * step.mean() for step in steps]
    assert found == pytest.approx(list(WEDGE_PERCENT), abs=0.6)


def test_documents_say_what_they_are_without_a_clock(
        tmp_path: Path, small_sheet: BuildSheet, small_film: BuildFilm, label: FilmLabel) -> None:
    sheet = small_sheet()
    record = write_film(tmp_path / "film.pdf", small_film(sheet), sheet, label)
    assert record.file_bytes == record.path.stat().st_size
    with pikepdf.open(record.path) as pdf:
        assert not pdf.check_pdf_syntax()
        told = {str(key): str(value) for key, value in pdf.docinfo.items()}
        assert told == {
            "/Title": "Ridge, first light: deep blue", "/Creator": "topsheet",
            "/Producer": "topsheet", "/CreationDate": "D:20260301", "/ModDate": "D:20260301",
            "/Trapped": "/True"}
        with pdf.open_metadata() as xmp:
            assert xmp["dc:title"] == told["/Title"]
            assert xmp["xmp:CreatorTool"] == xmp["pdf:Producer"] == "topsheet"
            assert xmp["xmp:CreateDate"] == xmp["xmp:ModifyDate"] == "2026-03-01"
            assert xmp["pdf:Trapped"] == "True"
            assert xmp["xmpMM:DocumentID"].startswith("uuid:")


def test_films_keep_what_print_files_must(
        tmp_path: Path, small_sheet: BuildSheet, small_film: BuildFilm, label: FilmLabel) -> None:
    """What holds of ISO 15930 for a film of black alone, and what is not claimed."""
    sheet = small_sheet()
    record = write_film(tmp_path / "film.pdf", small_film(sheet), sheet, label)
    with pikepdf.open(record.path) as pdf:
        assert pdf.pdf_version == "1.4"
        assert not pdf.is_encrypted
        assert [len(bytes(part)) for part in pdf.trailer.ID] == [16, 16]
        page = pdf.pages[0]
        assert not {"/ArtBox", "/Annots", "/AA", "/Group"} & set(page.obj.keys())
        root = set(pdf.trailer.Root.keys())
        assert not {"/OutputIntents", "/OpenAction", "/Names", "/AcroForm"} & root
        media, bleed, trim = ([float(v) for v in box] for box in
                              (page.mediabox, page.bleedbox, page.trimbox))
        for inner, outer in ((bleed, media), (trim, bleed)):
            assert all(a >= b for a, b in zip(inner[:2], outer[:2], strict=True))
            assert all(a <= b for a, b in zip(inner[2:], outer[2:], strict=True))
        assert "/GTS_PDFXVersion" not in pdf.docinfo
        kept = {"/CCITTFaxDecode", "/FlateDecode", "/ASCII85Decode"}
        for item in pdf.objects:
            if isinstance(item, pikepdf.Stream) and "/Filter" in item:
                filters = item.Filter if isinstance(item.Filter, pikepdf.Array) else [item.Filter]
                assert {str(name) for name in filters} <= kept
            if isinstance(item, pikepdf.Dictionary):
                assert "/SMask" not in item
        operators = {str(part.operator) for part in pikepdf.parse_content_stream(page)}
        assert not operators & {"rg", "RG", "k", "K", "cs", "CS", "sh", "gs"}
        fonts = page.resources.Font
        shown = {str(part.operands[0]) for part in pikepdf.parse_content_stream(page)
                 if str(part.operator) == "Tf"}
        assert len(shown) == 2
        for name in shown:
            assert "/FontFile2" in fonts[name].FontDescriptor


def test_progress_is_told_of_every_row_at_the_end(
        tmp_path: Path, small_sheet: BuildSheet, small_film: BuildFilm, label: FilmLabel) -> None:
    sheet = small_sheet()
    content = small_film(sheet)
    told: list[tuple[int, int]] = []
    make_film(tmp_path / "film.pdf", content, sheet, label,
              progress=lambda done, rows: told.append((done, rows)))
    rows = content.film_grid.rows
    assert told.count((rows, rows)) == 2
    written = [done for done, _ in told[:told.index((rows, rows)) + 1]]
    assert written == sorted(written)


def test_a_film_of_another_grid_is_refused(tmp_path: Path, small_sheet: BuildSheet,
                                           small_film: BuildFilm, label: FilmLabel) -> None:
    with pytest.raises(ValueError, match="grid is not the sheet's"):
        write_film(tmp_path / "film.pdf", small_film(small_sheet(720.0)), small_sheet(600.0),
                   label)
