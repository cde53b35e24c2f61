"""What the keys of profile, inserts, keep-outs and important regions have to do with each other."""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry import Polygon

from preflight.input_problem import InputProblem
from preflight.job_file.hardware_tables import ImportantTable, KeepOutTable
from preflight.job_file.job import Job

_FIGURES = ("camber", "nose_rise", "nose_length", "tail_rise", "tail_length")
#: Own rule, no source: more places than this are no hand-written list.
_MOST_PLACES = 100


def check_hardware(job: Job) -> None:
    """Refuse a job whose hardware tables contradict each other.

    Raises
    ------
    InputProblem
        For the first contradiction, with the file and the key path.
    """
    _check_profile(job)
    _check_frame(job)
    _check_inserts(job)
    kinds: tuple[tuple[str, Sequence[KeepOutTable | ImportantTable]], ...] = (
        ("keep_out", job.keep_out), ("important", job.important))
    for key, places in kinds:
        if len(places) > _MOST_PLACES:
            raise InputProblem(where=f"{job.path}: {key}", found=f"{len(places)} places",
                               would_do=f"at most {_MOST_PLACES}")
        for number, place in enumerate(places, 1):
            _check_place(place, f"{job.path}: {key}[{number}]")


def _check_profile(job: Job) -> None:
    table, where = job.profile, f"{job.path}: profile"
    if table is None:
        if job.board.outline_view == "plan" and job.stage == "sheet":
            raise InputProblem(
                where=f"{job.path}: board.outline_view",
                found="\"plan\" on a sheet that is printed flat, and no table [profile]",
                would_do="a [profile] that tells how nose and tail are turned up")
        return
    given = [name for name in _FIGURES if getattr(table, name) is not None]
    if table.points is not None and given:
        raise InputProblem(where=f"{where}.{given[0]}", found="a figure beside 'points'",
                           would_do="either a table of points or the figures")
    if table.points is None:
        for name in _FIGURES:
            if name not in given:
                raise InputProblem(where=f"{where}.{name}", found="nothing",
                                   would_do="the figure, or 'points' in place of all figures,")


def _check_frame(job: Job) -> None:
    frame = job.frame
    if frame.press_down.mm < frame.off_contact.mm:
        raise InputProblem(
            where=f"{job.path}: frame.press_down", found=frame.press_down.written,
            would_do="a length no less than the off-contact gap of "
                     f"{frame.off_contact.written}")


def _check_inserts(job: Job) -> None:
    table = job.inserts
    if table is None:
        return
    where = f"{job.path}: inserts"
    if not 1.0 <= table.hole.mm <= 30.0:
        raise InputProblem(where=f"{where}.hole", found=table.hole.written,
                           would_do="the diameter of a hole, between 1 and 30 mm,")
    if table.binding_disc.mm < table.hole.mm:
        raise InputProblem(where=f"{where}.binding_disc", found=table.binding_disc.written,
                           would_do="a disc wider than one hole, such as \"100 mm\",")
    if table.clearance.mm > 20.0:
        raise InputProblem(where=f"{where}.clearance", found=table.clearance.written,
                           would_do="a clearance of at most 20 mm round a hole")


def _check_place(place: KeepOutTable | ImportantTable, where: str) -> None:
    circle = (place.at is not None) + (place.diameter is not None)
    if (place.ring is None) == (circle == 0) or circle == 1:
        found = "'ring' beside a circle" if place.ring is not None else \
            "half a circle" if circle else "no place"
        raise InputProblem(where=where, found=found,
                           would_do="either 'ring', or 'at' with 'diameter',")
    if place.ring is not None:
        drawn = Polygon([(x.mm, y.mm) for x, y in place.ring])
        if not drawn.is_valid or drawn.area <= 0.0:
            raise InputProblem(where=f"{where}.ring",
                               found="a ring that crosses or touches itself, or holds no area",
                               would_do="points in order around the place")
