"""Films in further formats: the PDF's pixels, marks and all, in readers that did not write them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image
from PIL.PngImagePlugin import PngImageFile
from PIL.TiffImagePlugin import TiffImageFile

from preflight.job_file.job_values import FURTHER_OUTPUTS
from separations.films.film_formats import FILM_FORMATS, write_formats
from separations.films.film_label import FilmLabel
from separations.films.film_pdf import write_film
from separations.films.film_sheet import Box, FilmSheet, Reading
from separations.films.page_bits import PageBits, flipped_rows
from separations.films.page_rendering import rendered_page
from separations.films.read_back import FilmReadBackError
from separations.films.unscreened_outputs import UNSCREENED_OUTPUTS
from separations.halftone.film_content import FilmContent

BuildSheet = Callable[..., FilmSheet]
BuildFilm = Callable[..., FilmContent]


def test_every_word_of_jobs_has_its_maker() -> None:
    assert sorted(FURTHER_OUTPUTS) == sorted([*FILM_FORMATS, *UNSCREENED_OUTPUTS])


@pytest.mark.parametrize("word", FILM_FORMATS)
@pytest.mark.parametrize("reading", ["right-reading", "mirrored"])
def test_it_is_the_page_that_the_pdf_shows(
        tmp_path: Path, small_sheet: BuildSheet, small_film: BuildFilm, label: FilmLabel,
        reading: Reading, word: str) -> None:
    sheet = small_sheet(reading=reading)
    content = small_film(sheet)
    pdf = write_film(tmp_path / "film.pdf", content, sheet, label)
    name, = write_formats(tmp_path, "film", [word, "grey"], content, sheet, label)
    grid = sheet.page_grid
    with Image.open(tmp_path / name) as picture:
        assert picture.mode == "1"
        assert picture.info["dpi"] == pytest.approx((720, 720), rel=1e-4)
        dark = ~np.asarray(picture)
    again = cv2.imread(str(tmp_path / name), cv2.IMREAD_GRAYSCALE)
    assert again is not None
    assert np.array_equal(again == 0, dark)
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


@pytest.mark.parametrize("word", FILM_FORMATS)
def test_any_number_of_workers_writes_the_same_bytes_and_tells_of_all_rows(
        tmp_path: Path, small_sheet: BuildSheet, small_film: BuildFilm, label: FilmLabel,
        word: str) -> None:
    sheet = small_sheet()
    page = PageBits(sheet, small_film(sheet), label)
    write = FILM_FORMATS[word].write
    told: list[tuple[int, int]] = []
    for workers in (1, 3):
        write(tmp_path / f"{workers}", page, workers=workers,
              progress=lambda done, rows: told.append((done, rows)))
    assert (tmp_path / "1").read_bytes() == (tmp_path / "3").read_bytes()
    assert told[-1] == (sheet.page_grid.rows, sheet.page_grid.rows)


def test_they_say_what_they_are(tmp_path: Path, small_sheet: BuildSheet, small_film: BuildFilm,
                                label: FilmLabel) -> None:
    sheet = small_sheet()
    write_formats(tmp_path, "film", FILM_FORMATS, small_film(sheet), sheet, label)
    with Image.open(tmp_path / "film.tif") as picture:
        assert isinstance(picture, TiffImageFile)
        assert picture.info["compression"] == "group4"
        assert picture.tag_v2[306] == "2026:03:01 00:00:00"
    with Image.open(tmp_path / "film.png") as picture:
        assert isinstance(picture, PngImageFile)
        picture.load()
        assert picture.text == {"Title": label.title, "Software": "topsheet",
                                "Creation Time": "2026-03-01"}


@pytest.mark.parametrize("word", FILM_FORMATS)
@pytest.mark.parametrize("place", [20, 60_000, -30, -2])
def test_a_changed_byte_is_refused(
        tmp_path: Path, small_sheet: BuildSheet, small_film: BuildFilm, label: FilmLabel,
        word: str, place: int) -> None:
    sheet = small_sheet()
    each = FILM_FORMATS[word]
    record = each.write(tmp_path / "film", PageBits(sheet, small_film(sheet), label))
    each.read_back(record)
    data = bytearray(record.path.read_bytes())
    data[place] ^= 0x10
    record.path.write_bytes(data)
    with pytest.raises(FilmReadBackError):
        each.read_back(record)


@pytest.mark.parametrize("word", FILM_FORMATS)
def test_a_file_cut_short_is_refused(tmp_path: Path, small_sheet: BuildSheet,
                                     small_film: BuildFilm, label: FilmLabel, word: str) -> None:
    sheet = small_sheet()
    each = FILM_FORMATS[word]
    record = each.write(tmp_path / "film", PageBits(sheet, small_film(sheet), label))
    data = record.path.read_bytes()
    for length in (0, 7, len(data) // 2, len(data) - 5):
        record.path.write_bytes(data[:length])
        with pytest.raises(FilmReadBackError):
            each.read_back(record)


@pytest.mark.parametrize("columns", [16, 13, 9, 1])
def test_rows_flip(columns: int) -> None:
    bits = np.random.default_rng(1).integers(0, 2, (5, columns), np.uint8)
    flipped = flipped_rows(np.packbits(bits, axis=1), columns)
    assert np.array_equal(np.unpackbits(flipped, axis=1)[:, :columns], bits[:, ::-1])
    assert not np.unpackbits(flipped, axis=1)[:, columns:].any()
