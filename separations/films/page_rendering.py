"""Crops of a film's page rendered at the film's own pixels by PDFium."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2 as pdfium
import pypdfium2.raw as pdfium_raw
from numpy.typing import NDArray

from preflight.files.pdfium_door import PDFIUM
from separations.films.film_sheet import Box

#: a, b, c, d, e, f of PDF's transformation: x = a u + c v + e, y = b u + d v + f.
Matrix = tuple[float, float, float, float, float, float]


def drawn_images(page: pikepdf.Page) -> list[tuple[str, Matrix]]:
    """The images that a page draws, in order, each with the matrix from its unit square (points).

    Raises
    ------
    pikepdf.PdfError
        When the content stream cannot be read.

    Notes
    -----
    Graphics states are saved and restored with q and Q, and cm multiplies from the left. Source:
    ISO 32000-1, 8.3 and 8.4.
    """
    matrix: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    saved: list[Matrix] = []
    drawn = []
    for instruction in pikepdf.parse_content_stream(page, "q Q cm Do"):
        operator = str(instruction.operator)
        if operator == "q":
            saved.append(matrix)
        elif operator == "Q":
            matrix = saved.pop()
        elif operator == "cm":
            matrix = _times([float(value) for value in instruction.operands], matrix)
        elif operator == "Do":
            drawn.append((str(instruction.operands[0]).lstrip("/"), matrix))
    return drawn


def _times(first: list[float], then: Matrix) -> Matrix:
    a, b, c, d, e, f = first
    g, h, i, j, k, m = then
    return (a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j,
            e * g + f * i + k, e * h + f * j + m)


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
    with PDFIUM:
        opened = pdfium.PdfDocument(document)
        page = opened[0]
        try:
            yield RenderedPage(page, columns, rows)
        finally:
            page.close()
            opened.close()
