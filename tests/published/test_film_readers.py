"""A film 1.61 m long in readers that did not write it: PDFium, poppler and qpdf.

Outside references: pypdfium2 (PDFium), poppler-utils (pdftoppm, pdfimages, pdfinfo) and qpdf, as
installed; page units of ISO 32000-1 (72 to the inch). The film is narrow to keep this quick, but
as long as the longest board's, so it is stacked from three images.
"""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pypdfium2
import pytest
from PIL import Image

from preflight.frames.raster_grid import grid_over
from preflight.press.halftone_spec import HalftoneSpec
from separations.films import film_images
from separations.films.film_label import FilmLabel
from separations.films.film_pdf import write_film
from separations.films.film_record import Coding, FilmRecord
from separations.films.film_sheet import Box, FilmSheet, Reading, film_sheet
from separations.films.page_rendering import rendered_page
from separations.halftone.film_bands import dots_in, film_bands
from separations.halftone.film_content import FilmContent

BOUNDS = (-805.0, -24.0, 805.0, 24.0)
DPI = 1440


class LongFilm(NamedTuple):
    """A film on disk and what it was made from."""

    record: FilmRecord
    content: FilmContent
    sheet: FilmSheet


def _made(folder: Path, reading: Reading, coding: Coding = "group4") -> LongFilm:
    sheet = film_sheet(BOUNDS, (-797.0, -16.0, 797.0, 16.0), DPI, reading)
    plane = grid_over(BOUNDS, 25.4 / 150)
    tones = np.linspace(0, 65535, plane.rows * plane.columns).reshape(plane.rows, plane.columns)
    content = FilmContent(tones=tones.astype(np.uint16), tone_grid=plane,
                          film_grid=sheet.art_grid,
                          spec=HalftoneSpec(ruling_lpcm=45 / 2.54, angle_deg=22.5,
                                            dot_shape="elliptical", film_dpi=DPI))
    label = FilmLabel(job="Long film", board="Longest", ink="black", mesh="120-34",
                      ruling="45 lpi", film_number=1, film_count=1, date="2026-03-01")
    return LongFilm(write_film(folder / "film.pdf", content, sheet, label, coding=coding),
                    content, sheet)


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory) -> LongFilm:
    return _made(tmp_path_factory.mktemp("film"), "right-reading")


@pytest.fixture(scope="module")
def one_image(tmp_path_factory: pytest.TempPathFactory) -> LongFilm:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(film_images, "MOST_IMAGE_ROWS", 10**6)
        film = _made(tmp_path_factory.mktemp("film"), "right-reading", "deflate")
    assert len(film.record.parts) == 1
    return film


def _run(*command: str) -> str:
    if shutil.which(command[0]) is None:
        pytest.skip(f"{command[0]} is not installed")
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def _views(film: LongFilm) -> list[Box]:
    """Full-width views: the top, both sides of the seam, the bottom; in film pixels."""
    rows, columns = film.record.rows, film.record.columns
    seam = film.record.parts[1].first_row
    return [Box(0, top, columns, top + 200) for top in (0, seam - 100, rows - 200)]


def _on_page(view: Box, sheet: FilmSheet) -> Box:
    art = sheet.art_box
    moved = Box(view.left + art.left, view.top + art.top, view.right + art.left,
                view.bottom + art.top)
    if sheet.reading == "mirrored":
        columns = sheet.page_grid.columns
        return moved._replace(left=columns - moved.right, right=columns - moved.left)
    return moved


def _poppler_ink(film: LongFilm, box: Box, folder: Path) -> np.ndarray:
    _run("pdftoppm", "-r", str(DPI), "-mono", "-singlefile", "-x", str(box.left),
         "-y", str(box.top), "-W", str(box.right - box.left), "-H", str(box.bottom - box.top),
         str(film.record.path), str(folder / "view"))
    return ~np.asarray(Image.open(folder / "view.pbm"))


def test_its_structure_is_sound(film: LongFilm) -> None:
    assert "No syntax or stream encoding errors" in _run("qpdf", "--check",
                                                         str(film.record.path))


def test_its_size_is_right_within_one_film_pixel(film: LongFilm) -> None:
    told = _run("pdfinfo", "-box", str(film.record.path))
    boxes = {line.split(":")[0]: [float(number) for number in line.split(":")[1].split()]
             for line in told.splitlines() if "Box:" in line}
    pixel_pt = 72 / DPI
    length_pt = boxes["BleedBox"][3] - boxes["BleedBox"][1]
    assert length_pt == pytest.approx(1610 / 25.4 * 72, abs=pixel_pt)
    assert boxes["TrimBox"][3] - boxes["TrimBox"][1] == pytest.approx(1594 / 25.4 * 72,
                                                                      abs=pixel_pt)
    with rendered_page(film.record.path, film.sheet.page_grid.columns,
                       film.sheet.page_grid.rows) as page:
        assert page.size_pt[1] / pixel_pt == pytest.approx(film.sheet.page_grid.rows, abs=0.01)


def test_pdfium_and_poppler_show_the_screened_pixels(film: LongFilm, tmp_path: Path) -> None:
    grid = film.sheet.page_grid
    for view in _views(film):
        screened = dots_in(film.content, view.top, view.bottom, view.left, view.right)
        assert 0 < screened.mean() < 1
        box = _on_page(view, film.sheet)
        with rendered_page(film.record.path, grid.columns, grid.rows) as page:
            np.testing.assert_array_equal(page.ink_in(box), screened)
        np.testing.assert_array_equal(_poppler_ink(film, box, tmp_path), screened)


@pytest.mark.parametrize("dpi", [20, 40, 72, 150])
@pytest.mark.parametrize("reader", ["PDFium", "poppler"])
def test_no_seam_shows_at_reduced_size(film: LongFilm, one_image: LongFilm, reader: str,
                                       dpi: int, tmp_path: Path) -> None:
    """Rows round the seam come out as those of the same film in one image do."""
    seam = film.sheet.art_box.top + film.record.parts[1].first_row
    rows = slice(seam * dpi // DPI - 40, seam * dpi // DPI + 40)
    stacked, single = (_row_means(f, reader, dpi, tmp_path)[rows] for f in (film, one_image))
    off = np.abs(stacked - single)
    assert off[30:50].max() <= max(2.0, 1.5 * off[[*range(30), *range(50, 80)]].max())


def test_viewers_on_cairo_draw_all_of_it(film: LongFilm, tmp_path: Path) -> None:
    """They draw images of more than 32,767 rows blank."""
    art = film.sheet.art_box
    means = _row_means(film, "poppler with cairo", 20, tmp_path)
    assert means[art.top * 20 // DPI + 200:art.bottom * 20 // DPI - 2].max() < 254


def _row_means(film: LongFilm, reader: str, dpi: int, folder: Path) -> np.ndarray:
    """Mean lightness (0 to 255) of the middle of each row of the page at ``dpi``."""
    if reader == "PDFium":
        with pypdfium2.PdfDocument(film.record.path) as document:
            picture = document[0].render(scale=dpi / 72, grayscale=True).to_pil()
    else:
        tool = "pdftoppm" if reader == "poppler" else "pdftocairo"
        _run(tool, "-r", str(dpi), "-gray", "-png", "-singlefile", str(film.record.path),
             str(folder / "page"))
        picture = Image.open(folder / "page.png").convert("L")
    grey = np.asarray(picture, np.float64)
    third = grey.shape[1] // 3
    return np.asarray(grey[:, third:2 * third].mean(axis=1))


def test_poppler_decodes_every_pixel(film: LongFilm, tmp_path: Path) -> None:
    """It writes what the images hold as portable bitmaps, in which 1 is black."""
    _run("pdfimages", str(film.record.path), str(tmp_path / "image"))
    screened = np.concatenate(list(film_bands(film.content)))
    whole_bytes = film.record.columns // 8
    for number, part in enumerate(film.record.parts):
        head, size, rows = (tmp_path / f"image-00{number}.pbm").read_bytes().split(b"\n", 2)
        height = part.end_row - part.first_row
        assert (head, size) == (b"P4", b"%d %d" % (film.record.columns, height))
        decoded = np.frombuffer(rows, np.uint8).reshape(height, -1)
        inked = screened[part.first_row:part.end_row]
        assert np.array_equal(decoded[:, :whole_bytes], inked[:, :whole_bytes])


def test_a_mirrored_film_is_the_same_pixels_from_the_other_side(tmp_path: Path) -> None:
    film = _made(tmp_path, "mirrored")
    grid = film.sheet.page_grid
    for view in _views(film):
        screened = dots_in(film.content, view.top, view.bottom, view.left, view.right)[:, ::-1]
        box = _on_page(view, film.sheet)
        with rendered_page(film.record.path, grid.columns, grid.rows) as page:
            np.testing.assert_array_equal(page.ink_in(box), screened)
        np.testing.assert_array_equal(_poppler_ink(film, box, tmp_path), screened)
