"""Crops of a film's page rendered at the film's own pixels by PDFium."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Lock

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as pdfium_raw
from numpy.typing import NDArray

from separations.films.film_sheet import Box

#: PDFium is not safe to enter from two threads.
_PDFIUM = Lock()
_WHITE = 0xFFFFFFFF
_MIDDLE_GREY = 128


class RenderedPage:
    """A one-page document open for rendering; see `rendered_page`."""

    def __init__(self, page: pdfium.PdfPage, columns: int, rows: int) -> None:
        self._page = page
        self._columns = columns
        self._rows = rows

    @property
    def size_pt(self) -> tuple[float, float]:
        """Width and height of the page in points."""
        return self._page.get_width(), self._page.get_height()

    def ink_in(self, box: Box) -> NDArray[np.bool_]:
        """The pixels of a part of the page that come out dark, shape (rows, columns)."""
        bitmap = pdfium.PdfBitmap.new_native(box.right - box.left, box.bottom - box.top,
                                             pdfium_raw.FPDFBitmap_Gray)
        try:
            pdfium_raw.FPDFBitmap_FillRect(bitmap, 0, 0, bitmap.width, bitmap.height, _WHITE)
            pdfium_raw.FPDF_RenderPageBitmap(bitmap, self._page, -box.left, -box.top,
                                             self._columns, self._rows, 0, 0)
            grey = bitmap.to_numpy().reshape(bitmap.height, bitmap.width)
            return np.asarray(grey < _MIDDLE_GREY)
        finally:
            bitmap.close()


@contextmanager
def rendered_page(document: Path | bytes, columns: int, rows: int) -> Iterator[RenderedPage]:
    """Open a one-page document to render it as ``columns`` × ``rows`` pixels.

    One opener at a time; others wait.
    """
    with _PDFIUM:
        opened = pdfium.PdfDocument(document)
        page = opened[0]
        try:
            yield RenderedPage(page, columns, rows)
        finally:
            page.close()
            opened.close()
