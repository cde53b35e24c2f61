"""A film as a one-page PDF: screened, counted, coded and written band by band.

Workers screen and code bands apart; the writer joins their code in order and writes it through,
so memory holds a few bands whatever the film's size.
"""

from __future__ import annotations

import hashlib
import time
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from separations.films.deflate import BlockJoiner, CodedBlock, code_block
from separations.films.film_label import FilmLabel, label_lines
from separations.films.film_page import FilmPage, PlacedImage, film_page
from separations.films.film_record import Coding, FilmRecord, ImagePart, StripTrace
from separations.films.film_sheet import Box, FilmSheet
from separations.films.group4 import CodedStrip, StripJoiner, code_rows
from separations.films.marks import label_box, marks, wedge_box, wedge_tones
from separations.films.pdf_appendix import PdfAppendix
from separations.halftone.dot_counts import cell_pixels, count_cells, coverage_map, empty_counts
from separations.halftone.film_bands import in_order, row_bands
from separations.halftone.film_content import FilmContent
from separations.halftone.screening import Screening, prepare, screen_region

#: Most rows or columns of a Group 4 image: beyond it one common renderer draws nothing, silently.
MOST_GROUP4_PIXELS = 65_535
#: Most pixels of any image: beyond a signed 32-bit count of bits the same renderer draws wrongly.
MOST_IMAGE_PIXELS = 2**31 - 1
ROWS_PER_BAND = 512
WEDGE_NAME = "Wedge"


class _Band(NamedTuple):
    """A band of one image: its rows, and whether it is the image's first."""

    first_row: int
    end_row: int
    is_first: bool


class _MadeBand(NamedTuple):
    """A band's code, its digest and last row, and its ink by coarse cell."""

    code: CodedStrip | CodedBlock
    digest: bytes
    last_row: bytes
    counts: NDArray[np.int64]


def write_film(path: Path, content: FilmContent, sheet: FilmSheet, label: FilmLabel, *,
               coding: Coding = "group4", workers: int = 2) -> FilmRecord:
    """Write one ink's film.

    Parameters
    ----------
    path : Path
        The file to write; it is not moved, and is incomplete if this raises.
    content : FilmContent
        Its dots; ``content.film_grid`` is ``sheet.art_grid``.
    sheet : FilmSheet
        The board's sheet.
    label : FilmLabel
        What the label says.
    coding : Coding
        ``group4`` is smaller, ``deflate`` faster to open; films wider than 65,535 pixels
        become ``deflate``.
    workers : int
        Threads; any number gives the same bytes.

    Raises
    ------
    ValueError
        When the content's grid is not the sheet's.
    """
    if content.film_grid != sheet.art_grid:
        raise ValueError("the film's grid is not the sheet's")
    begun = time.perf_counter()
    if sheet.page_grid.columns > MOST_GROUP4_PIXELS:
        coding = "deflate"
    parts = _part_rows(content.film_grid.rows, content.film_grid.columns, coding)
    page = _page(sheet, label, content, parts)
    screening = prepare(content)
    counts = empty_counts(content.film_grid)
    prepared = time.perf_counter()
    with path.open("wb") as target:
        appendix = PdfAppendix(target, page.document)
        made = []
        for number, (first, end) in enumerate(parts):
            name = _part_name(number)
            appendix.begin_stream(page.image_numbers[name],
                                  _image_entries(end - first, content.film_grid.columns, coding))
            strips = _write_image(appendix, screening, (first, end), coding, workers, counts)
            appendix.end_stream()
            made.append(ImagePart(name, first, end, strips))
        _write_wedge(appendix, sheet, content, page.image_numbers[WEDGE_NAME], coding)
        sha256 = appendix.close()
        file_bytes = target.tell()
    digests = hashlib.sha256(b"".join(s.digest for part in made for s in part.strips))
    return FilmRecord(
        path=path, rows=content.film_grid.rows, columns=content.film_grid.columns,
        ink_pixels=int(counts.sum()), coverage=coverage_map(counts, content.film_grid),
        sha256=sha256, dots_digest=digests.hexdigest(), coding=coding, file_bytes=file_bytes,
        parts=tuple(made),
        seconds={"page": prepared - begun, "dots": time.perf_counter() - prepared})


def wedge_content(sheet: FilmSheet, content: FilmContent) -> FilmContent:
    """The tone wedge as a film of its own, screened as the ink is, on the page's pixels."""
    grid = sheet.part_grid(wedge_box(sheet))
    return FilmContent(tones=wedge_tones(sheet), tone_grid=grid, film_grid=grid,
                       spec=content.spec)


def _page(sheet: FilmSheet, label: FilmLabel, content: FilmContent,
          parts: list[tuple[int, int]]) -> FilmPage:
    art = sheet.art_box
    images = [PlacedImage(_part_name(number),
                          Box(art.left, art.top + first, art.right, art.top + end))
              for number, (first, end) in enumerate(parts)]
    words = label_box(sheet)
    width_pt = (words.right - words.left) * sheet.point_per_pixel
    return film_page(
        sheet, marks(sheet), label_lines(label, content.spec, sheet.reading, width_pt),
        (*images, PlacedImage(WEDGE_NAME, wedge_box(sheet))),
        title=f"{label.job}: {label.ink}", date=label.date)


def _part_rows(rows: int, columns: int, coding: Coding) -> list[tuple[int, int]]:
    """The film's rows in as few images as readers take, of nearly one height."""
    most_rows = MOST_IMAGE_PIXELS // columns
    if coding == "group4":
        most_rows = min(most_rows, MOST_GROUP4_PIXELS)
    count = -(-rows // most_rows)
    return [(rows * k // count, rows * (k + 1) // count) for k in range(count)]


def _part_name(number: int) -> str:
    return f"Film{number + 1}"


def _image_entries(rows: int, columns: int, coding: Coding) -> str:
    """Dictionary of a 1-bit image whose ink is painted in the current colour.

    Group 4 decodes ink to 0, which an image mask paints; deflated rows hold ink as 1, so there
    ``Decode`` swaps the two.
    """
    entries = (f"/Type /XObject /Subtype /Image /Width {columns} /Height {rows} "
               "/ImageMask true /BitsPerComponent 1 /Interpolate false ")
    if coding == "group4":
        return entries + (f"/Filter /CCITTFaxDecode /DecodeParms << /K -1 /Columns {columns} "
                          f"/Rows {rows} >>")
    return entries + "/Decode [1 0] /Filter /FlateDecode"


def _write_image(appendix: PdfAppendix, screening: Screening, part: tuple[int, int],
                 coding: Coding, workers: int,
                 counts: NDArray[np.int64]) -> tuple[StripTrace, ...]:
    """Write one image's stream, add its ink to ``counts``, and say how it went."""
    side = cell_pixels(screening.content.film_grid)
    bands = [_Band(part[0] + first, part[0] + end, first == 0)
             for first, end in row_bands(part[1] - part[0], ROWS_PER_BAND)]
    strips = StripJoiner()
    blocks = BlockJoiner()
    traces = []
    for band, made in zip(bands, _made(screening, bands, coding, workers), strict=True):
        first_bit = strips.bits
        if isinstance(made.code, CodedStrip):
            appendix.write(strips.join(made.code))
        else:
            appendix.write(blocks.join(made.code))
        first_cell = band.first_row // side
        counts[first_cell:first_cell + len(made.counts)] += made.counts
        traces.append(StripTrace(band.first_row, band.end_row, first_bit, strips.bits,
                                 made.digest, made.last_row))
    appendix.write(strips.close() if coding == "group4" else blocks.close())
    return tuple(traces)


def _made(screening: Screening, bands: list[_Band], coding: Coding,
          workers: int) -> Iterable[_MadeBand]:
    grid = screening.content.film_grid
    side = cell_pixels(grid)
    cell_columns = -(-grid.columns // side)

    def make(band: _Band) -> _MadeBand:
        lead = 0 if band.is_first else 1
        screened = screen_region(screening, band.first_row - lead, band.end_row)
        rows = screened[lead:]
        above = screened[0] if lead else np.zeros_like(screened[0])
        counts = np.zeros(((band.end_row - 1) // side - band.first_row // side + 1, cell_columns),
                          np.int64)
        count_cells(rows, band.first_row % side, side, counts)
        code = code_rows(rows, above, grid.columns) if coding == "group4" else code_block(rows)
        return _MadeBand(code, hashlib.sha256(rows.data).digest(), rows[-1].tobytes(), counts)

    return in_order(make, bands, workers)


def _write_wedge(appendix: PdfAppendix, sheet: FilmSheet, content: FilmContent, number: int,
                 coding: Coding) -> None:
    wedge = wedge_content(sheet, content)
    grid = wedge.film_grid
    screening = prepare(wedge)
    appendix.begin_stream(number, _image_entries(grid.rows, grid.columns, coding))
    _write_image(appendix, screening, (0, grid.rows), coding, 1, empty_counts(grid))
    appendix.end_stream()
