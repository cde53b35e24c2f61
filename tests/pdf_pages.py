"""PDF pages for tests, written by reportlab and changed by pikepdf."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pikepdf
from reportlab.lib.colors import CMYKColorSep
from reportlab.pdfgen.canvas import Canvas

Draw = Callable[[Canvas], None]
#: Sides of the pages (points).
SIZE = (850.0, 228.0)


def write_pdf(path: Path, *pages: Draw, size: tuple[float, float] = SIZE) -> Path:
    """Write a PDF, each page drawn by its function."""
    canvas = Canvas(str(path), pagesize=size, invariant=1)
    for draw in pages:
        draw(canvas)
        canvas.showPage()
    canvas.save()
    return path


def changed(path: Path, change: Callable[[pikepdf.Pdf], None], **how: object) -> Path:
    """The same file after a change of its objects."""
    kept = BytesIO()
    with pikepdf.open(path) as pdf:
        change(pdf)
        pdf.save(kept, static_id=not how, **how)  # type: ignore[arg-type]
    path.write_bytes(kept.getvalue())
    return path


def spot(name: str) -> CMYKColorSep:
    """A spot colour."""
    return CMYKColorSep(0.9, 0.2, 0, 0.1, spotName=name)


def halves(canvas: Canvas) -> None:
    """A blue half above a sand-coloured one, with a black square in the upper left corner."""
    canvas.setFillColorRGB(0.2, 0.5, 0.8)
    canvas.rect(0, 114, 850, 114, fill=1, stroke=0)
    canvas.setFillColorRGB(0.8, 0.6, 0.2)
    canvas.rect(0, 0, 850, 114, fill=1, stroke=0)
    canvas.setFillColorRGB(0, 0, 0)
    canvas.rect(0, 128, 100, 100, fill=1, stroke=0)
