"""The job's profile, inserts, keep-outs and important regions, laid down for its films."""

from __future__ import annotations

import numpy as np
from shapely import union_all
from shapely.geometry import Polygon

from preflight.board.board_outline import BoardOutline
from preflight.board.developed_outline import BoardFrames, View, frames_between, profile_for
from preflight.board.fittings import FittedInserts, Fittings, NamedArea
from preflight.board.insert_patterns import insert_packs
from preflight.board.keep_outs import disc
from preflight.board.profile_table import read_profile_table
from preflight.board.screen_reach import screen_reach
from preflight.board.side_profile import ProfileFigures, SideProfile
from preflight.job_file.hardware_tables import ImportantTable, KeepOutTable
from preflight.job_file.job import Job


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
