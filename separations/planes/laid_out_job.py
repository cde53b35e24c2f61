"""A job with its board drawn and its art laid on it."""

from __future__ import annotations

from dataclasses import dataclass

from preflight.art.artwork import open_artwork
from preflight.art.placement import Placement, place
from preflight.board.board_outline import BoardOutline, seen_from_the_base
from preflight.board.outline_from_numbers import BoardNumbers, outline_from_numbers
from preflight.board.outline_from_points import read_points_table
from preflight.board.topsheet_area import TopsheetArea, topsheet_area
from preflight.job_file.job import Job
from preflight.job_file.job_tables import ArtTable
from preflight.submission import ArtOnBoard


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidOutJob:
    """The job, the board's outline and areas, and each artwork where it lies.

    Attributes
    ----------
    remarks : tuple of str
        What was taken for granted on the way, one sentence each.
    """

    job: Job
    outline: BoardOutline
    area: TopsheetArea
    art: tuple[ArtOnBoard, ...]
    remarks: tuple[str, ...]


def lay_out(job: Job) -> LaidOutJob:
    """Draw the board and lay the art on it.

    Raises
    ------
    InputProblem
        When outline or art cannot be read, or make no sense.
    """
    outline = _outline_of(job)
    if job.side == "base":
        outline = seen_from_the_base(outline)
    area = topsheet_area(
        outline, job.stage, bleed_mm=job.area.bleed.mm,
        safety_margin_mm=job.area.safety_margin.mm, edge_margin_mm=job.area.edge_margin.mm)
    art = tuple(_laid(job, table, area) for table in job.art)
    remarks = (*outline.remarks, *(f"{a.table.file}: {remark}" for a in art
                                   if a.table.kind == "photo" for remark in a.artwork.remarks))
    return LaidOutJob(job=job, outline=outline, area=area, art=art, remarks=remarks)


def _outline_of(job: Job) -> BoardOutline:
    board = job.board
    if board.outline is not None:
        return read_points_table(job.beside(board.outline), unit=board.outline_unit,
                                 smooth=board.outline_smooth)
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
    placement = Placement(
        how=table.place, art_width_mm=table.width.mm if table.width else None,
        ppi=table.resolution.dpi if table.resolution else None,
        offset_x_mm=table.offset_along.mm, offset_y_mm=table.offset_across.mm,
        turn_deg=table.turn.deg, flip=table.flip)
    placed = place(artwork.width_px, artwork.height_px, area.printed.bounds, placement,
                   where=f"{job.path}: art[{job.art.index(table) + 1}]")
    return ArtOnBoard(table=table, artwork=artwork, placed=placed)
