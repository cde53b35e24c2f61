"""A whole film page as 1-bit rows: marks and label rendered once, dots laid in as they come."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from separations.films.document_facts import DocumentFacts
from separations.films.film_label import FilmLabel, label_lines
from separations.films.film_page import film_page, label_room_pt
from separations.films.film_pdf import wedge_content
from separations.films.film_sheet import Box, FilmSheet
from separations.films.marks import Shape, marks, wedge_box
from separations.films.page_rendering import RenderedPage, rendered_page
from separations.halftone.film_bands import dots_in, row_bands
from separations.halftone.film_content import FilmDots
from separations.halftone.screening import Screening, prepare, screen_region

_RENDERED_ROWS = 2048
#: Each byte with its bits in reverse.
_REVERSED = np.packbits(np.unpackbits(np.arange(256, dtype=np.uint8)[:, None], axis=1)[:, ::-1],
                        axis=1)[:, 0]


class PageBits:
    """The page's rows: made ready once, then any band from any thread.

    Parameters
    ----------
    sheet : FilmSheet
        The board's sheet.
    content : FilmDots or Screening
        The dots.
    label : FilmLabel
        What the label says.
    shapes : tuple of Shape, optional
        The page's marks, where they are not those of `separations.films.marks.marks`.

    Attributes
    ----------
    rows, columns : int
        Size of the page in pixels.
    dpi : float
        The film's resolution.
    facts : DocumentFacts
        What the page is called, and the job's date.
    """

    def __init__(self, sheet: FilmSheet, content: FilmDots | Screening, label: FilmLabel,
                 shapes: tuple[Shape, ...] | None = None) -> None:
        self.rows, self.columns = sheet.page_grid.rows, sheet.page_grid.columns
        self.dpi, self.facts = sheet.dpi, DocumentFacts(title=label.title, date=label.date)
        self._row_bytes = (self.columns + 7) // 8
        self._mirrored = sheet.reading == "mirrored"
        self._art = sheet.art_box
        self._screening = prepare(content)
        content = self._screening.content
        self._margins: list[tuple[Box, NDArray[np.uint8]]] = []
        straight = replace(sheet, reading="right-reading")
        document = film_page(
            straight, marks(straight) if shapes is None else shapes,
            label_lines(label, content.spec, sheet.reading, *label_room_pt(sheet)), (),
            self.facts).document
        with rendered_page(document, self.columns, self.rows) as page:
            for margin in self._margin_boxes():
                self._margins.append((margin, _bits_of(page, margin)))
        self._lay_wedge(straight, content)

    def band(self, first_row: int, end_row: int) -> NDArray[np.uint8]:
        """Rows of the page, shape (rows, ceil(columns / 8)), 1 = ink, as they read on the film."""
        band = np.zeros((end_row - first_row, self._row_bytes), np.uint8)
        for box, bits in self._margins:
            first, end = max(first_row, box.top), min(end_row, box.bottom)
            if first < end:
                left = box.left // 8
                band[first - first_row:end - first_row, left:left + bits.shape[1]] \
                    |= bits[first - box.top:end - box.top]
        art = self._art
        first, end = max(first_row, art.top), min(end_row, art.bottom)
        if first < end:
            dots = screen_region(self._screening, first - art.top, end - art.top)
            left = art.left // 8
            band[first - first_row:end - first_row, left:left + dots.shape[1]] |= dots
        return flipped_rows(band, self.columns) if self._mirrored else band

    def _margin_boxes(self) -> tuple[Box, ...]:
        """All but the image, from whole bytes on; panels have none at their seams."""
        art = self._art
        boxes = (Box(0, 0, self.columns, art.top), Box(0, art.top, art.left, art.bottom),
                 Box(art.right // 8 * 8, art.top, self.columns, art.bottom),
                 Box(0, art.bottom, self.columns, self.rows))
        return tuple(box for box in boxes if box.left < box.right and box.top < box.bottom)

    def _lay_wedge(self, sheet: FilmSheet, content: FilmDots) -> None:
        wedge, (margin, bits) = wedge_content(sheet, content), self._margins[-1]
        box, grid = wedge_box(sheet), wedge.film_grid
        dots = np.pad(dots_in(wedge, 0, grid.rows, 0, grid.columns), ((0, 0), (box.left % 8, 0)))
        packed = np.packbits(dots, axis=1)
        left, top = box.left // 8, box.top - margin.top
        bits[top:top + len(packed), left:left + packed.shape[1]] |= packed


def flipped_rows(packed: NDArray[np.uint8], columns: int) -> NDArray[np.uint8]:
    """Packed rows of ``columns`` pixels seen from the other side, same shape."""
    turned = _REVERSED[packed[:, ::-1]]
    spare = np.uint8(packed.shape[1] * 8 - columns)
    if spare:
        moved = turned << spare
        moved[:, :-1] |= turned[:, 1:] >> (np.uint8(8) - spare)
        return np.asarray(moved)
    return np.asarray(turned)


def _bits_of(page: RenderedPage, box: Box) -> NDArray[np.uint8]:
    """A part of the page, packed, shape (rows, ceil(columns / 8))."""
    return np.concatenate([
        np.packbits(page.ink_in(box._replace(top=box.top + first, bottom=box.top + end)), axis=1)
        for first, end in row_bands(box.bottom - box.top, _RENDERED_ROWS)])
