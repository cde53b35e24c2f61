"""The job's drawings, flat colours, lines and notes laid on its board."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from preflight.art.placement import Placement, place
from preflight.board.area_mask import Area
from preflight.board.topsheet_area import TopsheetArea
from preflight.files.pdf_file import open_page
from preflight.input_problem import InputProblem
from preflight.job_file.drawn_consistency import is_drawing, is_pdf
from preflight.job_file.job import Job
from preflight.job_file.job_tables import ArtTable
from preflight.vector_art.drawn_art import PAPER, DrawnArt, areas_by_ink, colours_in, letters_in
from preflight.vector_art.lettering import SHIPPED_FONT, Face, SetLetter, open_face
from preflight.vector_art.line_drawing import LineName, LineStyle, drawn_line
from preflight.vector_art.notes import note_area, note_letters, type_size_mm
from preflight.vector_art.pdf_drawing import painted_page
from preflight.vector_art.svg_drawing import Painted, open_drawing, painted
from preflight.vector_art.svg_text import text_setter

_Marks = tuple[tuple[Painted, ...], tuple[str, ...]]


def placement_of(table: ArtTable) -> Placement:
    """Where the job wants an artwork."""
    return Placement(
        how=table.place, art_width_mm=table.width.mm if table.width else None,
        ppi=table.resolution.dpi if table.resolution else None,
        offset_x_mm=table.offset_along.mm, offset_y_mm=table.offset_across.mm,
        turn_deg=table.turn.deg, flip=table.flip)


def draw_art(job: Job, area: TopsheetArea) -> tuple[tuple[DrawnArt, ...], tuple[str, ...]]:
    """The job's drawings and flat colours, bottom first, and what was not done as asked.

    Raises
    ------
    InputProblem
        When a drawing or font cannot be read, a colour has no ink, or a letter is missing.
    """
    drawn: list[DrawnArt] = []
    remarks: list[str] = []
    for order, table in enumerate(job.art):
        if not is_drawing(table):
            continue
        areas = {table.ink or "": (area.printed, ((), ()))} if not table.file else _drawing_areas(
            job, table, area, f"{job.path}: art[{order + 1}]", remarks)
        drawn += [DrawnArt(
            subject=table.file or f"flat {ink}", kind="flat" if table.kind == "flat" else "drawing",
            order=order, ink=ink, tint=table.tint.fraction,
            knocks_out=table.beneath == "knock out", area=inked, letters=letters[0],
            cut_letters=letters[1], on_white=table.white_beneath)
            for ink, (inked, letters) in areas.items()]
    return tuple(drawn), tuple(remarks)


def draw_lines(job: Job) -> Iterator[DrawnArt]:
    """The job's lines, which lie over all its art.

    Raises
    ------
    InputProblem
        When a font cannot be read or a letter is missing.
    """
    for number, line in enumerate(job.line):
        face = _face(job, line.font)
        name = None if line.name is None else LineName(
            words=line.name, face=face, type_mm=type_size_mm(line, face),
            at=line.name_at.fraction, stands=line.name_stands)
        style = LineStyle(width_mm=line.width.mm, smooth=line.smooth, arrow_mm=line.arrow.mm,
                          dashes_mm=tuple(dash.mm for dash in line.dashes))
        drawn = drawn_line(np.array([(x.mm, y.mm) for x, y in line.points]), style, name,
                           where=f"{job.path}: line[{number + 1}]")
        yield DrawnArt(
            subject=line.name or f"line {number + 1}", kind="line", order=len(job.art) + number,
            ink=line.ink, tint=1.0, knocks_out=line.beneath == "knock out", area=drawn.area,
            letters=drawn.letters, type_mm=name.type_mm if name else 0.0,
            capital_mm=name.capital_mm if name else 0.0)


def track_order(job: Job, number: int) -> int:
    """Place of a track among all that is laid on the board; that of the plan is after the last."""
    return len(job.art) + len(job.line) + number


def first_note_order(job: Job) -> int:
    """Place of the first note among all that is laid on the board."""
    return track_order(job, len(job.track)) + (job.plan is not None)


def draw_notes(job: Job) -> Iterator[DrawnArt]:
    """The job's notes, which lie over all its art and lines; faults as in `draw_lines`."""
    for number, note in enumerate(job.note):
        where = f"{job.path}: note[{number + 1}]"
        face = _face(job, note.font)
        size = type_size_mm(note, face)
        yield DrawnArt(
            subject=note.text, kind="note", order=first_note_order(job) + number,
            ink=note.ink, tint=1.0, knocks_out=note.beneath == "knock out",
            area=note_area(note, face, where=where), letters=note_letters(note, face, where=where),
            type_mm=size, capital_mm=size * face.cap_height_em)


def _face(job: Job, font: str | None) -> Face:
    return open_face(job.beside(font) if font else SHIPPED_FONT)


def _marks_of_svg(job: Job, table: ArtTable, area: TopsheetArea, where: str) -> _Marks:
    path = job.beside(table.file)
    drawing = open_drawing(path)
    placed = place(drawing.page.width, drawing.page.height, area.image_bounds,
                   placement_of(table), where=where)
    return painted(drawing, placed.to_board, text_setter(_face(job, table.font), path))


def _marks_of_pdf(job: Job, table: ArtTable, area: TopsheetArea, where: str) -> _Marks:
    page = open_page(job.beside(table.file), table.page, boundary=table.page_box,
                     mark_spots=True)
    placed = place(page.width_pt, page.height_pt, area.image_bounds, placement_of(table),
                   where=where)
    return painted_page(page, placed.to_board), page.remarks


def _drawing_areas(
    job: Job, table: ArtTable, area: TopsheetArea, where: str, remarks: list[str]
) -> dict[str, tuple[Area, tuple[tuple[SetLetter, ...], tuple[SetLetter, ...]]]]:
    """A drawing's area in each ink, placed on the board as a picture of its size would be.

    Beside each area its own letters, and the drawing's other ones.
    """
    path = job.beside(table.file)
    marks, told = (_marks_of_pdf if is_pdf(table) else _marks_of_svg)(job, table, area, where)
    remarks += [f"{table.file}: {remark}" for remark in told]
    if not marks:
        raise InputProblem(where=str(path), found="nothing that is painted",
                           would_do="a drawing with fills or strokes")
    inks = table.colours
    if inks is not None:
        strange = [colour for colour in colours_in(marks) if colour not in inks]
        if strange:
            raise InputProblem(where=f"{where}.colours", found=f"no ink for {strange[0]}",
                               would_do=f"an ink for each of {', '.join(strange[:12])}")

    def ink_of(colour: str) -> str | None:
        if inks is not None and colour in inks:
            return inks[colour]
        return None if colour == PAPER else table.ink

    areas = areas_by_ink(marks, ink_of, knocks_out=table.beneath == "knock out")
    return {ink: (inked, letters_in(marks, ink_of, ink)) for ink, inked in areas.items()}
