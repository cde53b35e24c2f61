"""A written film read again by other libraries than wrote it, before anyone may use it.

qpdf reads boxes, images and where the page draws them, libtiff or zlib decodes the streams to the
last bit, and PDFium renders views of each of its images over the full width at the film's pixels.
"""

from __future__ import annotations

import hashlib
import zlib
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pikepdf

from separations.films.film_label import FilmLabel
from separations.films.film_page import INSET_PT, page_corners
from separations.films.film_pdf import WEDGE_NAME, wedge_content, write_film
from separations.films.film_record import Coding, FilmRecord, ImagePart, StripTrace
from separations.films.film_sheet import Box, FilmSheet
from separations.films.marks import Shape, wedge_box
from separations.films.page_rendering import RenderedPage, drawn_images, rendered_page
from separations.films.strip_decoding import checksum, decode_group4, inflate_rows
from separations.halftone.film_bands import dots_in, in_order
from separations.halftone.film_content import FilmDots
from separations.halftone.screening import Prepared, Screening, prepare
from separations.runtime.progress import PacedProgress, Progress

#: Height of a rendered view in film pixels.
VIEW_ROWS = 256
#: How far a box or the page may lie from where it belongs (film pixels).
BOX_TOLERANCE_PIXELS = 0.01


class FilmReadBackError(Exception):
    """A film file is not what was screened; it must not be used."""


def make_film(path: Path, content: FilmDots, sheet: FilmSheet, label: FilmLabel, *,
              coding: Coding = "group4", whole: bool = True,
              shapes: tuple[Shape, ...] | None = None,
              progress: Progress | None = None) -> FilmRecord:
    """Write a film and read it back; the file stays only if it is right.

    Parameters are those of `separations.films.film_pdf.write_film` and of `read_back`;
    ``progress`` is told of the writing and then, from nothing again, of the reading.

    Raises
    ------
    FilmReadBackError
        When what is read differs from what was screened.
    """
    try:
        screening = prepare(content)
        record = write_film(path, screening, sheet, label, coding=coding, shapes=shapes,
                            progress=progress)
        read_back(record, screening, sheet, whole=whole, progress=progress)
    except BaseException:
        path.unlink(missing_ok=True)
        raise
    return record


def read_back(record: FilmRecord, content: FilmDots | Screening, sheet: FilmSheet, *,
              whole: bool = True, views: bool = True,
              progress: Progress | None = None) -> None:
    """Compare a written film with what it was made from.

    Parameters
    ----------
    record : FilmRecord
        The film as written.
    content : FilmDots or Screening
        Its dots; prepare them once where a film is written and read.
    sheet : FilmSheet
        Its sheet.
    whole : bool
        Whether the streams are decoded to the last row; without, only rendered views are compared.
    views : bool
        Whether views are rendered. Of films on one sheet it does for one: what the others' pages
        draw is compared with where it should be, and the renderer decodes the same streams again.
    progress : callable, optional
        Told (film rows read, film rows in all) on this thread, at most every 50 ms.

    Raises
    ------
    FilmReadBackError
        At the first difference.
    """
    if _sha256(record.path) != record.sha256:
        raise FilmReadBackError(f"{record.path.name} on disk is not what was written")
    with ThreadPoolExecutor(1) as pool:
        rendering = pool.submit(_compare_views, record, content, sheet) if views else None
        _compare_streams(record, sheet, PacedProgress(progress, record.rows), whole=whole)
        if rendering:
            rendering.result()


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _compare_streams(record: FilmRecord, sheet: FilmSheet, paced: PacedProgress, *,
                     whole: bool) -> None:
    try:
        with pikepdf.open(record.path) as pdf:
            if len(pdf.pages) != 1:
                raise FilmReadBackError(f"{record.path.name} has {len(pdf.pages)} pages")
            page = pdf.pages[0]
            _compare_boxes(page, sheet)
            _compare_drawn(page, record, sheet)
            images = page.resources.XObject
            for part in record.parts:
                image = images["/" + part.name]
                size = int(image.Width), int(image.Height)
                if size != (record.columns, part.end_row - part.first_row):
                    raise FilmReadBackError(f"image {part.name} is not the size it should be")
                if whole:
                    _compare_rows(memoryview(image.get_raw_stream_buffer()), part, record, paced)
    except (pikepdf.PdfError, KeyError, AttributeError, OSError, zlib.error) as fault:
        raise FilmReadBackError(f"{record.path.name} cannot be read: {fault}") from fault


def _compare_boxes(page: pikepdf.Page, sheet: FilmSheet) -> None:
    grid = sheet.page_grid
    for name, found, box in (("page", page.mediabox, Box(0, 0, grid.columns, grid.rows)),
                             ("bleed box", page.bleedbox, sheet.art_box),
                             ("trim box", page.trimbox, sheet.trim_box)):
        off = max(abs(float(is_) - should_be) for is_, should_be
                  in zip(found.as_list(), page_corners(sheet, box), strict=True))
        if off > BOX_TOLERANCE_PIXELS * sheet.point_per_pixel:
            raise FilmReadBackError(f"the {name} is off by {off:.4f} points")


def _compare_drawn(page: pikepdf.Page, record: FilmRecord, sheet: FilmSheet) -> None:
    """Where the page draws its images, in their order, and that nothing turns or cuts them."""
    art = sheet.art_box
    boxes = [(part.name, Box(art.left, art.top + part.first_row, art.right,
                             art.top + part.end_row)) for part in record.parts]
    expected = [*boxes, (WEDGE_NAME, wedge_box(sheet))]
    drawn = drawn_images(page)
    if [name for name, _ in drawn] != [name for name, _ in expected]:
        raise FilmReadBackError(f"{record.path.name} does not draw the images that it should")
    for (name, found), (_, box) in zip(drawn, expected, strict=True):
        left, bottom, right, top = page_corners(sheet, box)
        wide, start = right - left - 2 * INSET_PT, left + INSET_PT
        if sheet.reading == "mirrored":
            wide, start = -wide, right - INSET_PT
        should_be = (wide, 0.0, 0.0, top - bottom - 2 * INSET_PT, start, bottom + INSET_PT)
        off = max(abs(is_ - should) for is_, should in zip(found, should_be, strict=True))
        if off > BOX_TOLERANCE_PIXELS * sheet.point_per_pixel:
            raise FilmReadBackError(f"image {name} is drawn {off:.4f} points from its place")


def _compare_rows(stream: memoryview, part: ImagePart, record: FilmRecord,
                  paced: PacedProgress) -> None:
    """Decode one image and compare it, strip by strip, with the digests of what was screened."""
    row_bytes = (record.columns + 7) // 8
    digests = (_digests_of(stream, part, record.columns, row_bytes)
               if record.coding == "group4" else
               (checksum(rows) for rows in inflate_rows(
                   (stream,), row_bytes,
                   [strip.end_row - strip.first_row for strip in part.strips])))
    for strip, digest in zip(part.strips, digests, strict=True):
        if digest != strip.digest:
            raise FilmReadBackError(
                f"{record.path.name} differs between film rows {strip.first_row} "
                f"and {strip.end_row}")
        if strip.first_row >= part.first_new_row:
            paced.add(strip.end_row - strip.first_row)


def _digests_of(stream: memoryview, part: ImagePart, columns: int,
                row_bytes: int) -> Iterator[bytes]:
    """Each strip decoded against the last row of the one above, as that strip's trace has it."""
    def decode(strip_and_above: tuple[StripTrace, bytes]) -> tuple[bytes, bytes, bytes]:
        strip, above = strip_and_above
        rows = decode_group4(stream, strip.first_bit, strip.end_bit, above,
                             strip.end_row - strip.first_row, columns)
        return rows[0].tobytes(), rows[-1].tobytes(), checksum(rows[1:])

    aboves = [bytes(row_bytes), *(strip.last_row for strip in part.strips[:-1])]
    at_bit = 0
    pairs = list(zip(part.strips, aboves, strict=True))
    for (strip, above), (first, last, digest) in zip(pairs, in_order(decode, pairs, 2),
                                                     strict=True):
        if strip.first_bit != at_bit or first != above or last != strip.last_row:
            raise FilmReadBackError(f"the strips of {part.name} do not follow on each other")
        at_bit = strip.end_bit
        yield digest


def _compare_views(record: FilmRecord, content: FilmDots | Screening,
                   sheet: FilmSheet) -> None:
    screening = prepare(content)
    art = sheet.art_box
    grid = sheet.page_grid
    with rendered_page(record.path, grid.columns, grid.rows) as page:
        for off in (abs(page.size_pt[0] / sheet.point_per_pixel - grid.columns),
                    abs(page.size_pt[1] / sheet.point_per_pixel - grid.rows)):
            if off > 0.5:
                raise FilmReadBackError(f"the rendered page is off by {off:.2f} film pixels")
        for view in _views(record):
            on_page = Box(view.left + art.left, view.top + art.top,
                          view.right + art.left, view.bottom + art.top)
            _compare_view(page, on_page, screening, view, sheet, record)
        wedge = prepare(wedge_content(sheet, screening.content))
        box = wedge_box(sheet)
        _compare_view(page, box, wedge, Box(0, 0, box.right - box.left, box.bottom - box.top),
                      sheet, record)


def _compare_view(page: RenderedPage, on_page: Box, screening: Prepared, view: Box,
                  sheet: FilmSheet, record: FilmRecord) -> None:
    screened = dots_in(screening, view.top, view.bottom, view.left, view.right)
    if sheet.reading == "mirrored":
        columns = sheet.page_grid.columns
        on_page = on_page._replace(left=columns - on_page.right, right=columns - on_page.left)
        screened = screened[:, ::-1]
    differing = int((page.ink_in(on_page) != screened).sum())
    if differing:
        raise FilmReadBackError(
            f"{record.path.name} renders with {differing} differing pixels at page pixel "
            f"({on_page.left}, {on_page.top})")


def _views(record: FilmRecord) -> list[Box]:
    """Full-width views, in film pixels: each image's first rows of its own, and one seam.

    A seam is where an image begins, over the end of the one above it; a film of one image shows
    its bottom instead. There the renderer has to decode every row of an image.
    """
    high = min(VIEW_ROWS, record.rows)
    seam = record.parts[1].first_row - high // 2 if len(record.parts) > 1 else record.rows - high
    tops = [*(part.first_new_row for part in record.parts), seam]
    return [Box(0, top, record.columns, top + high)
            for top in sorted({max(0, min(top, record.rows - high)) for top in tops})]
