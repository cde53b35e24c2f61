"""What line work does to each ink's film."""

from __future__ import annotations

from preflight.job_file.job_tables import InkTable
from separations.halftone import film_content
from separations.planes.line_work import LineWork


def lines_of(ink: InkTable, sheets: tuple[LineWork, ...]) -> tuple[film_content.LineWork, ...]:
    """What the sheets of line work do to one ink's film, in the order in which it takes effect."""
    lines = []
    for sheet in sheets:
        if sheet.table.ink == ink.name:
            lines.append(film_content.LineWork(plane=sheet.cover, grid=sheet.grid,
                                               action="print"))
        elif (sheet.table.beneath == "knock out" and ink.prints != "underbase"
              and sheet.trapped.any()):
            lines.append(film_content.LineWork(plane=sheet.trapped, grid=sheet.grid,
                                               action="knock out"))
    return tuple(lines)
