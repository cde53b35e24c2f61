"""A job with its board drawn and its art laid on it."""

from __future__ import annotations

from dataclasses import dataclass, field

from preflight.art.artwork import open_artwork
from preflight.art.placement import place
from preflight.board.board_outline import BoardOutline, seen_from_the_base
from preflight.board.developed_outline import outline_on_film
from preflight.board.fittings import Fittings
from preflight.board.keep_outs import without_ink
from preflight.board.outline_from_file import read_outline_file
from preflight.board.outline_from_numbers import BoardNumbers, outline_from_numbers
from preflight.board.topsheet_area import TopsheetArea, topsheet_area
from preflight.job_file.drawn_consistency import is_drawing
from preflight.job_file.job import Job
from preflight.job_file.job_tables import ArtTable
from preflight.submission import ArtOnBoard
from preflight.vector_art.drawn_art import DrawnArt
from separations.planes.board_fittings import fittings_of, frames_of
from separations.planes.drawn_layout import draw_art, placement_of


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidOutJob:
    """The job, the board's outline and areas, and each artwork where it lies.

    Attributes
    ----------
    art : tuple of ArtOnBoard
        Pictures, in the job's order.
    drawn : tuple of DrawnArt
        Drawings, flat colours and notes, bottom first.
    remarks : tuple of str
        What was taken for granted on the way, one sentence each.
    fittings : Fittings
        The pressed board's shape, and what is fixed to the board or must be seen on it.
    """

    job: Job
    outline: BoardOutline
    area: TopsheetArea
    art: tuple[ArtOnBoard, ...]
    remarks: tuple[str, ...]
    fittings: Fittings = field(default_factory=Fittings)
    drawn: tuple[DrawnArt, ...] = ()


def lay_out(job: Job) -> LaidOutJob:
    """Draw the board and lay the art on it.

    Raises
    ------
    InputProblem
        When outline or art cannot be read, or make no sense.
    """
    outline, area, fittings = board_of(job)
    art = tuple(_laid(job, table, area) for table in job.art if not is_drawing(table))
    drawn, told = draw_art(job, area)
    remarks = (*outline.remarks, *(f"{a.table.file}: {remark}" for a in art
                                   if a.table.kind == "photo" for remark in a.artwork.remarks),
               *told)
    return LaidOutJob(job=job, outline=outline, area=area, art=art, remarks=remarks,
                      fittings=fittings, drawn=drawn)


def board_of(job: Job) -> tuple[BoardOutline, TopsheetArea, Fittings]:
    """The job's board as its films have it, its areas and what is fixed to it, before any art.

    Raises
    ------
    InputProblem
        When the outline or the profile cannot be read, or makes no sense.
    """
    drawn = _outline_of(job)
    if job.side == "base":
        drawn = seen_from_the_base(drawn)
    frames = frames_of(job, drawn)
    outline, fittings = outline_on_film(drawn, frames), fittings_of(job, frames)
    area = topsheet_area(
        outline, job.stage, bleed_mm=job.area.bleed.mm,
        safety_margin_mm=job.area.safety_margin.mm, edge_margin_mm=job.area.edge_margin.mm)
    return outline, without_ink(area, fittings.kept_off, where=str(job.path)), fittings


def _outline_of(job: Job) -> BoardOutline:
    board = job.board
    if board.outline is not None:
        return read_outline_file(
            job.beside(board.outline), unit=board.outline_unit, smooth=board.outline_smooth,
            layer=board.outline_layer, nose=board.outline_nose,
            gap_mm=board.outline_gap.mm if board.outline_gap else None)
    # The reader of the job file saw to it that these are there.
    assert board.length
    assert board.contact_length
    assert board.nose_width
    assert board.waist_width
    return outline_from_numbers(BoardNumbers(
        length_mm=board.length.mm, contact_length_mm=board.contact_length.mm,
        nose_width_mm=board.nose_width.mm, waist_width_mm=board.waist_width.mm,
        tail_width_mm=board.tail_width.mm if board.tail_width else None,
        taper_mm=board.taper.mm if board.taper else None, setback_mm=board.setback.mm,
        nose_shape=board.nose_shape, tail_shape=board.tail_shape), where=f"{job.path}: board")


def _laid(job: Job, table: ArtTable, area: TopsheetArea) -> ArtOnBoard:
    artwork = open_artwork(job.beside(table.file))
    placed = place(artwork.width_px, artwork.height_px, area.image_bounds,
                   placement_of(table),
                   where=f"{job.path}: art[{job.art.index(table) + 1}]")
    return ArtOnBoard(table=table, artwork=artwork, placed=placed)
