"""What the artist marks as important: is it seen whole?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from shapely import union_all
from shapely.geometry import Point

from preflight.basis import Source, given
from preflight.board.area_mask import Area
from preflight.board.fittings import FittedInserts, NamedArea
from preflight.checks import limits
from preflight.facts.submission import Submission, place_of
from preflight.findings import Figure, Finding, Grade, Place

_JOB = given("the job's [inserts] and [[keep_out]] tables")


def hardware_lies_on_the_board(submission: Submission) -> Iterator[Finding]:
    """Insert holes lie well inside the trim, keep-outs meet the print, lines stay clear of both."""
    for pack in submission.fittings.inserts:
        yield _inserts(submission, pack)
    yield from _keep_outs(submission)
    yield from _lines(submission)


def _inserts(submission: Submission, pack: FittedInserts) -> Finding:
    trim = submission.area.trim
    rooms = [(_room(trim, x, y) - pack.hole_mm / 2, x, y) for x, y in pack.holes_mm]
    room, x, y = min(rooms)
    limit = limits.HOLE_TO_EDGE
    grade = Grade.STOP if room < 0 else Grade.CARE if room < limit.value else Grade.CLEAR
    half = pack.hole_mm / 2
    return Finding(
        id="inserts-on-board", check="Inserts on the board", subjects=(f"{pack.foot} foot",),
        grade=grade,
        says="A hole lies over the edge of the board or beyond it." if room < 0 else
        f"The hole nearest to the edge is {room:.0f} mm from it.",
        measured=Figure(value=room, unit="mm from the edge"),
        limit=limit.least, source=limit.source.beside(_JOB),
        place=None if grade is Grade.CLEAR else Place(
            least_x_mm=x - half, least_y_mm=y - half, greatest_x_mm=x + half,
            greatest_y_mm=y + half),
        mend="" if grade is Grade.CLEAR else
        "Set stance, set_back and holes_in_row as the board is drilled.")


def _room(trim: Point, x_mm: float, y_mm: float) -> float:
    centre = Point(x_mm, y_mm)
    away = float(trim.exterior.distance(centre))
    return away if trim.contains(centre) else -away


def _keep_outs(submission: Submission) -> Iterator[Finding]:
    area = submission.area
    printable = area.printed if area.uncut is None else area.uncut
    for place in submission.fittings.keep_outs:
        met_cm2 = float(place.area.intersection(printable).area) / 100
        percent = met_cm2 / printable.area * 10_000
        least, most = limits.KEEP_OUT_LEAST, limits.KEEP_OUT_MOST
        missed = met_cm2 < least.value
        grade = (Grade.NOTE if missed else
                 Grade.STOP if place.ink_off and percent > most.value else Grade.CLEAR)
        told = "takes no ink" if place.ink_off else "takes ink, but no art that matters"
        yield Finding(
            id="keep-outs-on-print", check="Keep-outs on the print", subjects=(place.name,),
            grade=grade,
            says="It lies wholly outside the printed area." if missed else
            f"{met_cm2:.1f} cm² of the printed area ({percent:.1f} %) {told}.",
            measured=Figure(value=met_cm2, unit=least.unit) if missed
            else Figure(value=percent, unit=most.unit),
            limit=least.least if missed else most.figure,
            source=(least if missed else most).source,
            place=place_of(place.area.bounds) if grade is not Grade.CLEAR else None,
            mend="" if grade is Grade.CLEAR else
            "Check its figures: they are counted from mid-length and the centre line.")


def _lines(submission: Submission) -> Iterator[Finding]:
    for line in submission.lines_kept_off:
        lost = line.mm2_lost > limits.LINES_IN_HOLES.value
        yield Finding(
            id="line-work-in-holes", check="Line work in holes", subjects=(line.file,),
            grade=Grade.CARE if lost else Grade.CLEAR,
            says=f"{line.mm2_lost:.0f} mm² of the drawing falls into insert holes or keep-outs."
            if lost else "The drawing stays clear of insert holes and keep-outs.",
            measured=Figure(value=line.mm2_lost, unit="mm²"),
            limit=limits.LINES_IN_HOLES.figure,
            source=limits.LINES_IN_HOLES.source.beside(_JOB),
            place=place_of(line.bounds_mm) if lost and line.bounds_mm else None,
            mend="Move letters and lines, unless they may run through holes." if lost else "")


class _Hazard(NamedTuple):
    """What may take something from a region.

    ``lost`` tells whether the art is gone there, or only hidden by what can be taken off again.
    """

    id: str
    check: str
    area: Area
    says: str
    keeps: str
    source: Source
    mend: str
    lost: bool = True


def important_art_is_seen(submission: Submission) -> Iterator[Finding]:
    """Important regions lie clear of bindings, holes, keep-outs, the margin and beyond reach."""
    for region in submission.fittings.important:
        for hazard in _hazards(submission, region):
            yield _finding(region, hazard)


def _finding(region: NamedArea, hazard: _Hazard) -> Finding:
    taken = region.area.intersection(hazard.area)
    mm2, share = float(taken.area), float(taken.area / region.area.area)
    cut, lost = limits.IMPORTANT_CUT, limits.IMPORTANT_LOST
    grade = (Grade.CLEAR if mm2 <= cut.value else
             Grade.STOP if hazard.lost and 100 * share > lost.value else Grade.CARE)
    clear, gone = grade is Grade.CLEAR, grade is Grade.STOP
    limit = lost if gone else cut
    return Finding(
        id=hazard.id, check=hazard.check, subjects=(region.name,), grade=grade,
        says=hazard.keeps if clear else
        f"{mm2 / 100:.1f} cm² of it ({share * 100:.0f} %) {hazard.says}.",
        measured=Figure(value=100 * share if gone else mm2, unit=limit.unit), limit=limit.figure,
        source=limit.source.beside(hazard.source), place=None if clear else place_of(taken.bounds),
        mend="" if clear else hazard.mend)


def _hazards(submission: Submission, region: NamedArea) -> Iterator[_Hazard]:
    fittings, area = submission.fittings, submission.area
    if fittings.inserts:
        yield _Hazard(
            id="important-under-binding", check="Important art under a binding",
            area=union_all([pack.binding for pack in fittings.inserts]),
            says="lies under a binding's disc", keeps="No binding's disc hides it.",
            source=given("the job's binding_disc (100 mm is common practice, no source)"),
            mend="Move it along the board, or place the art with another offset.", lost=False)
    blocked = [pack.clear for pack in fittings.inserts] + [p.area for p in fittings.keep_outs]
    if blocked:
        yield _Hazard(
            id="important-in-keep-out", check="Important art in a keep-out",
            area=union_all(blocked),
            says="lies in insert holes or keep-outs", keeps="It lies clear of holes and keep-outs.",
            source=_JOB,
            mend="Move it, or place the art with another offset.")
    # Holes are told above: the margin is that of the board's own edge.
    safe = area.safe if not fittings.kept_off else union_all([area.safe, *fittings.kept_off])
    yield _Hazard(
        id="important-in-margin", check="Important art in the margin",
        area=region.area.difference(safe),
        says="lies in the safety margin or past it, where trimming or misregister may cut it off",
        keeps="It keeps clear of the safety margin.", source=given("the job's [area] table"),
        mend="Move it inwards, or place the art with another offset.")
    if fittings.reach is not None:
        yield _Hazard(
            id="important-out-of-reach", check="Important art out of reach",
            area=region.area.difference(fittings.reach.zone),
            says="lies where a flat screen does not reach the pressed board",
            keeps="A flat screen reaches all of it.",
            source=given("the job's [profile] and [frame] tables"),
            mend="Move it towards mid-length, or print the flat sheet before pressing.")
