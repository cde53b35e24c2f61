"""PDFium entered by one thread at a time, with a page of a PDF open."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from threading import Lock
from typing import Any

from preflight.input_problem import InputProblem

#: PDFium is not safe to enter from two threads.
PDFIUM = Lock()


@contextmanager
def pdfium_page(path: Path, data: bytes, number: int,
                box: tuple[float, float, float, float] | None = None) -> Iterator[Any]:
    """Give page ``number``, from 1, of a PDF's bytes; no other thread is in PDFium meanwhile.

    With a ``box`` (left, low, right and upper edge in points) the page is drawn to that in place
    of its own crop box.

    Raises
    ------
    InputProblem
        When PDFium cannot read it.
    """
    import pypdfium2

    with PDFIUM:
        try:
            document = pypdfium2.PdfDocument(data)
        except pypdfium2.PdfiumError as fault:
            raise _unread(path, fault) from None
        with closing(document):
            try:
                if box is not None:
                    with closing(document[number - 1]) as whole:
                        whole.set_cropbox(*box)  # heeded when the page is next opened
                page = document[number - 1]
            except (pypdfium2.PdfiumError, IndexError) as fault:
                raise _unread(path, fault) from None
            with closing(page):
                yield page


def _unread(path: Path, fault: Exception) -> InputProblem:
    return InputProblem(where=str(path), found=f"a damaged PDF ({str(fault)[:80]})",
                        would_do="the PDF as it was first saved")
