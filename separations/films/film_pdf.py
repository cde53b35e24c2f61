"""A film as a one-page PDF: its dots as stacked images, its marks and label as vectors."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

from separations.films.document_facts import DocumentFacts
from separations.films.film_images import (
    MOST_GROUP4_COLUMNS,
    dots_digest,
    image_entries,
    stacked_parts,
    write_image,
)
from separations.films.film_label import FilmLabel, label_lines
from separations.films.film_page import FilmPage, PlacedImage, film_page, label_room_pt
from separations.films.film_record import Coding, FilmRecord, ImagePart
from separations.films.film_sheet import Box, FilmSheet
from separations.films.marks import Shape, marks, wedge_box, wedge_tones
from separations.films.pdf_appendix import PdfAppendix
from separations.halftone.film_content import FilmContent, FilmDots
from separations.halftone.screening import Screening, prepare
from separations.halftone.tone_levels import coverage_map, empty_counts
from separations.runtime.progress import PacedProgress, Progress

WEDGE_NAME = "Wedge"


def write_film(path: Path, content: FilmDots | Screening, sheet: FilmSheet, label: FilmLabel, *,
               coding: Coding = "group4", workers: int = 2,
               shapes: tuple[Shape, ...] | None = None,
               progress: Progress | None = None) -> FilmRecord:
    """Write one ink's film.

    Parameters
    ----------
    path : Path
        The file to write; it is not moved, and is incomplete if this raises.
    content : FilmDots or Screening
        Its dots, on ``sheet.art_grid``.
    sheet : FilmSheet
        The board's sheet.
    label : FilmLabel
        What the label says.
    coding : Coding
        ``group4`` is smaller, ``deflate`` faster to open; films wider than 65,535 pixels
        become ``deflate``.
    workers : int
        Threads; any number gives the same bytes.
    shapes : tuple of Shape, optional
        The page's marks, where they are not those of `separations.films.marks.marks`.
    progress : callable, optional
        Told (film rows done, film rows in all) on this thread, at most every 50 ms.

    Raises
    ------
    ValueError
        When the content's grid is not the sheet's.
    """
    screening = prepare(content)
    content = screening.content
    if content.film_grid != sheet.art_grid:
        raise ValueError("the film's grid is not the sheet's")
    begun = time.perf_counter()
    grid = content.film_grid
    if grid.columns > MOST_GROUP4_COLUMNS:
        coding = "deflate"
    parts = stacked_parts(grid.rows, grid.columns)
    page = _page(sheet, label, content, parts, marks(sheet) if shapes is None else shapes)
    counts = empty_counts(grid)
    paced = PacedProgress(progress, grid.rows)
    prepared = time.perf_counter()
    with ThreadPoolExecutor(1) as beside, path.open("wb") as target:
        wedge = beside.submit(prepare, wedge_content(sheet, content))
        appendix = PdfAppendix(target, page.document)
        made = []
        for part in parts:
            appendix.begin_stream(
                page.numbers[part.name],
                image_entries(part.end_row - part.first_row, grid.columns, coding))
            made.append(write_image(appendix, screening, part, coding, counts, paced,
                                    workers=workers))
            appendix.end_stream()
        _write_wedge(appendix, wedge.result(), page.numbers[WEDGE_NAME], coding)
        sha256 = appendix.close()
        file_bytes = target.tell()
    return FilmRecord(
        path=path, rows=grid.rows, columns=grid.columns, ink_pixels=int(counts.sum()),
        coverage=coverage_map(counts, grid), sha256=sha256, dots_digest=dots_digest(made),
        coding=coding, file_bytes=file_bytes, parts=tuple(made),
        seconds={"page": prepared - begun, "dots": time.perf_counter() - prepared})


def wedge_content(sheet: FilmSheet, content: FilmDots) -> FilmContent:
    """The tone wedge as a film of its own, screened as the ink is, on the page's pixels.

    Where the ink's small dots are dropped or held its wedge has them all, so that each step is
    the tone that stands over it; thinned dots keep their mean tone anyway.
    """
    grid, spec = sheet.part_grid(wedge_box(sheet)), content.spec
    if spec.small_dots != "thin":
        spec = replace(spec, smallest_tone=0.0, largest_tone=1.0)
    return FilmContent(tones=wedge_tones(sheet), tone_grid=grid, film_grid=grid, spec=spec)


def _page(sheet: FilmSheet, label: FilmLabel, content: FilmDots,
          parts: tuple[ImagePart, ...], shapes: tuple[Shape, ...]) -> FilmPage:
    art = sheet.art_box
    images = [PlacedImage(part.name, Box(art.left, art.top + part.first_row, art.right,
                                         art.top + part.end_row)) for part in parts]
    return film_page(
        sheet, shapes,
        label_lines(label, content.spec, sheet.reading, *label_room_pt(sheet)),
        (*images, PlacedImage(WEDGE_NAME, wedge_box(sheet))),
        DocumentFacts(title=label.title, date=label.date))


def _write_wedge(appendix: PdfAppendix, wedge: Screening, number: int, coding: Coding) -> None:
    grid = wedge.content.film_grid
    part = ImagePart(WEDGE_NAME, 0, 0, grid.rows, ())
    appendix.begin_stream(number, image_entries(grid.rows, grid.columns, coding))
    write_image(appendix, wedge, part, coding, empty_counts(grid),
                PacedProgress(None, grid.rows), workers=1)
    appendix.end_stream()
