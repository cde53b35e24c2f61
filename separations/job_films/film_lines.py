"""What line work, drawings and flat colours do to each ink's film."""

from __future__ import annotations

from preflight.job_file.job_tables import InkTable
from separations.halftone.film_content import AreaWork, LineWork
from separations.planes.sheets import Sheet
from separations.planes.vector_work import VectorWork, areas_on_film


def lines_of(ink: InkTable, sheets: tuple[Sheet, ...]) -> tuple[LineWork | AreaWork, ...]:
    """What the sheets do to one ink's film, in the order in which it takes effect."""
    lines: list[LineWork | AreaWork] = []
    for sheet in sheets:
        if isinstance(sheet, VectorWork):
            lines += areas_on_film(ink, sheet)
        elif sheet.table.ink == ink.name:
            lines.append(LineWork(plane=sheet.cover, grid=sheet.grid, action="print"))
        elif (sheet.table.beneath == "knock out" and ink.prints != "underbase"
              and not sheet.trapped.is_empty):
            lines.append(LineWork(plane=sheet.trapped, grid=sheet.grid, action="knock out"))
    return tuple(lines)
