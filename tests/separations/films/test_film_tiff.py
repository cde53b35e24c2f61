"""TIFF films: the PDF's pixels, marks and all, in readers that did not write them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from PIL.TiffImagePlugin import TiffImageFile

from separations.films.film_label import FilmLabel
from separations.films.film_pdf import write_film
from separations.films.film_sheet import Box, FilmSheet, Reading
from separations.films.film_tiff import write_film_tiff
from separations.films.page_bits import flipped_rows
from separations.films.page_rendering import rendered_page
from separations.films.read_back import FilmReadBackError
from separations.films.tiff_read_back import read_back_tiff
from separations.halftone.film_content import FilmContent

BuildSheet = Callable[..., FilmSheet]
BuildFilm = Callable[..., FilmContent]


@pytest.mark.parametrize("reading", ["right-reading", "mirrored"])
def test_it_is_the_page_that_the_pdf_shows(
        tmp_path: Path, small_sheet: BuildSheet, small_film: BuildFilm, label: FilmLabel,
        reading: Reading) -> None:
    sheet = small_sheet(reading=reading)
    content = small_film(sheet)
    pdf = write_film(tmp_path / "film.pdf", content, sheet, label)
    told: list[tuple[int, int]] = []
    tiff = write_film_tiff(tmp_path / "film.tif", content, sheet, label,
                           progress=lambda done, rows: told.append((done, rows)))
    read_back_tiff(tiff)
    grid = sheet.page_grid
    assert told[-1] == (grid.rows, grid.rows)
    with Image.open(tiff.path) as picture:
        assert picture.info["compression"] == "group4"
        assert picture.info["dpi"] == (720, 720)
        assert isinstance(picture, TiffImageFile)
        assert picture.tag_v2[306] == "2026:03:01 00:00:00"
        dark = ~np.asarray(picture)
    with rendered_page(pdf.path, grid.columns, grid.rows) as page:
        shown = page.ink_in(Box(0, 0, grid.columns, grid.rows))
    assert dark.shape == shown.shape
    # Pixels half covered by curves and letters may fall either way.
    art = sheet.art_box
    across = slice(art.left, art.right)
    if reading == "mirrored":
        across = slice(grid.columns - art.right, grid.columns - art.left)
    assert np.array_equal(dark[art.top:art.bottom, across], shown[art.top:art.bottom, across])
    assert np.count_nonzero(dark != shown) <= 400


def test_a_changed_strip_is_refused(tmp_path: Path, small_sheet: BuildSheet,
                                    small_film: BuildFilm, label: FilmLabel) -> None:
    sheet = small_sheet()
    record = write_film_tiff(tmp_path / "film.tif", small_film(sheet), sheet, label)
    data = bytearray(record.path.read_bytes())
    data[60_000] ^= 0x10
    record.path.write_bytes(data)
    with pytest.raises(FilmReadBackError):
        read_back_tiff(record)


@pytest.mark.parametrize("columns", [16, 13, 9, 1])
def test_rows_flip(columns: int) -> None:
    bits = np.random.default_rng(1).integers(0, 2, (5, columns), np.uint8)
    flipped = flipped_rows(np.packbits(bits, axis=1), columns)
    assert np.array_equal(np.unpackbits(flipped, axis=1)[:, :columns], bits[:, ::-1])
    assert not np.unpackbits(flipped, axis=1)[:, columns:].any()
