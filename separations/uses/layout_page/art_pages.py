"""Pages of a job's drawings and PDFs, as the page lays them and tells of them."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Any

from preflight.files.pdf_file import open_page
from preflight.input_problem import InputProblem
from preflight.job_file.drawn_consistency import is_drawing, is_pdf
from preflight.job_file.job_tables import ArtTable
from preflight.units import MM_PER_INCH, POINTS_PER_INCH
from preflight.vector_art.svg_drawing import open_drawing
from separations.pipeline.session import Session

_MM_PER_PT = MM_PER_INCH / POINTS_PER_INCH


def art_pages(session: Session, faults: list[str]) -> dict[str, dict[str, Any]]:
    """Pages by their art's place in the job; a page that cannot be read is told in ``faults``.

    Each has its ``size``, in px of an SVG or points of a PDF; of a PDF also ``page``, ``pages`` and
    ``mm``, the size of what is read of it.
    """
    found: dict[str, dict[str, Any]] = {}
    for number, table in enumerate(session.job.art):
        if not table.file or not (is_drawing(table) or is_pdf(table)):
            continue
        try:
            path = session.job.beside(table.file)
            found[str(number)] = session.keep.made_of(
                "page of a drawing", (str(path), session.contents.digest(path), table.page,
                                      table.page_box), partial(_page_of, path, table))
        except InputProblem as fault:
            if fault.sentence not in faults:
                faults.append(fault.sentence)
    return found


def _page_of(path: Path, table: ArtTable) -> dict[str, Any]:
    if is_pdf(table):
        told = open_page(path, table.page, boundary=table.page_box)
        size = [told.width_pt, told.height_pt]
        return {"size": size, "page": told.number, "pages": told.pages,
                "mm": [side * _MM_PER_PT for side in size]}
    page = open_drawing(path).page
    return {"size": [page.width, page.height]}
