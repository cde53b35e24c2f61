"""A job with its board drawn and its art laid on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from shapely import union_all
from shapely.geometry import Polygon

from preflight.art.artwork import Artwork
from preflight.art.crop import Crop
from preflight.art.placement import place
from preflight.board.board_outline import BoardOutline, seen_from_the_base
from preflight.board.developed_outline import (
    BoardFrames,
    View,
    frames_between,
    outline_on_film,
    profile_for,
)
from preflight.board.fittings import (
    FittedInserts,
    Fittings,
    NamedArea,
    disc,
    insert_packs,
    without_ink,
)
from preflight.board.outline_from_file import read_outline_file
from preflight.board.outline_from_numbers import BoardNumbers, outline_from_numbers
from preflight.board.profile_table import read_profile_table
from preflight.board.screen_reach import screen_reach
from preflight.board.side_profile import ProfileFigures, SideProfile
from preflight.board.topsheet_area import TopsheetArea, topsheet_area
from preflight.facts.submission import ArtOnBoard
from preflight.job_file.hardware_tables import ImportantTable, KeepOutTable
from preflight.job_file.job import Job
from preflight.job_file.job_tables import ArtTable
from preflight.vector_art.drawn_art import DrawnArt
from separations.planes.drawn_layout import placement_of


def frames_of(job: Job, drawn: BoardOutline) -> BoardFrames:
    """How places as the job gives them lie on its films.

    Raises
    ------
    InputProblem
        When the side profile cannot be read or makes no sense.
    """
    film_view: View = "flat" if job.stage == "sheet" else "plan"
    return frames_between(_profile_of(job, drawn), drawn, job.board.outline_view, film_view)


def fittings_of(job: Job, frames: BoardFrames) -> Fittings:
    """All that is fixed to the board or must be seen on it, in the films' frame."""
    reach = None
    if job.stage == "board" and frames.profile is not None:
        reach = screen_reach(frames.profile, off_contact_mm=job.frame.off_contact.mm,
                             press_down_mm=job.frame.press_down.mm)
    return Fittings(
        frames=frames, reach=reach, inserts=_inserts_of(job, frames),
        keep_outs=tuple(NamedArea(name=table.name, area=_area_of(table, frames),
                                  ink_off=table.ink == "off") for table in job.keep_out),
        important=tuple(NamedArea(name=table.name, area=_area_of(table, frames))
                        for table in job.important))


def _profile_of(job: Job, drawn: BoardOutline) -> SideProfile | None:
    table = job.profile
    if table is None:
        return None
    if table.points is not None:
        return read_profile_table(job.beside(table.points), unit=table.points_unit)
    # The reader of the job file saw to it that these are there.
    assert table.camber
    assert table.nose_rise
    assert table.nose_length
    assert table.tail_rise
    assert table.tail_length
    return profile_for(ProfileFigures(
        length_mm=drawn.length_mm, camber_mm=table.camber.mm,
        nose_rise_mm=table.nose_rise.mm, nose_length_mm=table.nose_length.mm,
        tail_rise_mm=table.tail_rise.mm, tail_length_mm=table.tail_length.mm),
        job.board.outline_view, where=f"{job.path}: profile")


def _inserts_of(job: Job, frames: BoardFrames) -> tuple[FittedInserts, ...]:
    table = job.inserts
    if table is None:
        return ()
    clear_mm = table.hole.mm + 2 * table.clearance.mm
    fitted = []
    for pack in insert_packs(table.pattern, stance_mm=table.stance.mm,
                             set_back_mm=table.set_back.mm, holes_in_row=table.holes_in_row):
        holes = frames.on_film(pack.holes_mm)
        centre = frames.on_film(pack.centre_mm[None])[0]
        fitted.append(FittedInserts(
            foot=pack.foot, holes_mm=holes, hole_mm=table.hole.mm, clear_mm=clear_mm,
            ink_off=table.ink == "off", binding=disc(centre, table.binding_disc.mm),
            clear=union_all([disc(hole, clear_mm) for hole in holes])))
    return tuple(fitted)


def _area_of(table: KeepOutTable | ImportantTable, frames: BoardFrames) -> Polygon:
    """A circle keeps its shape on the face it lies on; a ring is led over point by point."""
    if table.ring is not None:
        return Polygon(frames.ring_on_film(np.array([[x.mm, y.mm] for x, y in table.ring])))
    assert table.at
    assert table.diameter
    centre = np.array([[length.mm for length in table.at]])
    return disc(frames.on_film(centre)[0], table.diameter.mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidOutJob:
    """The job, the board's outline and areas, and each artwork where it lies.

    Attributes
    ----------
    art : tuple of ArtOnBoard
        Pictures, in the job's order.
    drawn : tuple of DrawnArt
        Drawings, flat colours and notes, bottom first.
    revision : str
        The whole job and its files in eight letters; empty where only a part is known.
    remarks : tuple of str
        What was assumed on the way, one sentence each.
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
    revision: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """The job's board as its films have it, before any art.

    Attributes
    ----------
    outline : BoardOutline
        The trim.
    area : TopsheetArea
        What is printed of it.
    fittings : Fittings
        The pressed board's shape, and what is fixed to the board or must be seen on it.
    """

    outline: BoardOutline
    area: TopsheetArea
    fittings: Fittings


def board_of(job: Job) -> Board:
    """Draw the job's board.

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
    return Board(outline=outline, fittings=fittings,
                 area=without_ink(area, fittings.kept_off, where=str(job.path)))


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


def crop_of(table: ArtTable) -> Crop:
    """What a job cuts off of a picture."""
    return Crop(left=table.crop_left.fraction, right=table.crop_right.fraction,
                top=table.crop_top.fraction, bottom=table.crop_bottom.fraction)


def place_art(job: Job, artworks: Sequence[tuple[int, Artwork]],
              area: TopsheetArea) -> tuple[ArtOnBoard, ...]:
    """Lay pictures on the board.

    Parameters
    ----------
    job : Job
        What it says of each.
    artworks : sequence of (int, Artwork)
        The pictures, each with its place among the job's artworks.
    area : TopsheetArea
        The board's areas.

    Raises
    ------
    InputProblem
        When one cannot lie where the job wants it.
    """
    return tuple(ArtOnBoard(
        order=order, table=job.art[order], artwork=artwork,
        placed=place(artwork.width_px, artwork.height_px, area.image_bounds,
                     placement_of(job.art[order]), where=f"{job.path}: art[{order + 1}]"))
        for order, artwork in artworks)
