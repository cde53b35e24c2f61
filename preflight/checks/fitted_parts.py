"""What the artist marks as important: is it seen whole?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from shapely import union_all
from shapely.geometry import Point

from preflight.board.area_mask import Area
from preflight.board.fittings import FittedInserts, NamedArea
from preflight.facts.submission import Submission, place_of
from preflight.findings import Figure, Finding, Grade, Place, at_least

_JOB = "the job's [inserts] and [[keep_out]] tables"
#: A hole's edge nearer to the board's edge than this needs care (mm). Own rule, no source.
_NEAR_EDGE_MM = 25.0
#: Areas below this are not worth a word (mm²). Own rule, no source.
_SPECK_MM2 = 2.0


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
    grade = Grade.STOP if room < 0 else Grade.CARE if room < _NEAR_EDGE_MM else Grade.CLEAR
    half = pack.hole_mm / 2
    return Finding(
        check="Inserts on the board", subject=f"{pack.foot} foot", grade=grade,
        says="A hole lies over the edge of the board or beyond it." if room < 0 else
        f"The hole nearest to the edge keeps {room:.0f} mm from it.",
        measured=Figure(value=room, unit="mm from the edge"),
        limit=at_least(_NEAR_EDGE_MM, "mm from the edge"),
        source=f"own rule, no source; {_JOB}",
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
        met = float(place.area.intersection(printable).area)
        share = met / printable.area
        grade = (Grade.NOTE if met < 1.0 else
                 Grade.STOP if place.ink_off and share > 0.5 else Grade.CLEAR)
        told = "takes no ink" if place.ink_off else "takes ink, but no art that matters"
        yield Finding(
            check="Keep-outs on the print", subject=place.name, grade=grade,
            says="It lies wholly outside the printed area." if grade is Grade.NOTE else
            f"{met / 100:.1f} cm² of the printed area ({share * 100:.1f} %) {told}.",
            measured=Figure(value=met / 100, unit="cm² of the print"),
            limit=Figure(value=printable.area / 200 if grade is not Grade.NOTE else 0.01,
                         unit="cm² of the print"),
            source="own rule, no source: more than nothing, and less than half of the print",
            place=place_of(place.area.bounds) if grade is not Grade.CLEAR else None,
            mend="" if grade is Grade.CLEAR else
            "Look at its figures: they are counted from mid-length and the centre line.")


def _lines(submission: Submission) -> Iterator[Finding]:
    for line in submission.lines_kept_off:
        lost = line.mm2_lost > _SPECK_MM2
        yield Finding(
            check="Line work in holes", subject=line.file,
            grade=Grade.CARE if lost else Grade.CLEAR,
            says=f"{line.mm2_lost:.0f} mm² of the drawing fall into insert holes and keep-outs."
            if lost else "The drawing stays clear of insert holes and keep-outs.",
            measured=Figure(value=line.mm2_lost, unit="mm²"),
            limit=Figure(value=_SPECK_MM2, unit="mm²"), source=f"own rule, no source; {_JOB}",
            place=place_of(line.bounds_mm) if lost and line.bounds_mm else None,
            mend="Move letters and lines, unless they may run through holes." if lost else "")


#: A part of a region smaller than this is not worth a word (mm²). Own rule, no source.
_LEAST_CUT_MM2 = 1.0


class _Hazard(NamedTuple):
    """What may take something from a region.

    ``lost`` tells whether the art is gone there, or only hidden by what can be taken off again.
    """

    check: str
    area: Area
    says: str
    keeps: str
    source: str
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
    grade = (Grade.CLEAR if mm2 <= _LEAST_CUT_MM2 else
             Grade.STOP if hazard.lost and share > 0.5 else Grade.CARE)
    clear = grade is Grade.CLEAR
    return Finding(
        check=hazard.check, subject=region.name, grade=grade,
        says=hazard.keeps if clear else
        f"{mm2 / 100:.1f} cm² of it ({share * 100:.0f} %) {hazard.says}.",
        measured=Figure(value=mm2, unit="mm²"), limit=Figure(value=_LEAST_CUT_MM2, unit="mm²"),
        source=hazard.source, place=None if clear else place_of(taken.bounds),
        mend="" if clear else hazard.mend)


def _hazards(submission: Submission, region: NamedArea) -> Iterator[_Hazard]:
    fittings, area = submission.fittings, submission.area
    if fittings.inserts:
        yield _Hazard(
            check="Important art under a binding",
            area=union_all([pack.binding for pack in fittings.inserts]),
            says="lies under a binding's disc", keeps="No binding's disc hides it.",
            source="common practice, no source: a disc of about 100 mm on the inserts; the job's "
                   "inserts.binding_disc",
            mend="Move it along the board, or place the art with another offset.", lost=False)
    blocked = [pack.clear for pack in fittings.inserts] + [p.area for p in fittings.keep_outs]
    if blocked:
        yield _Hazard(
            check="Important art in a keep-out", area=union_all(blocked),
            says="lies in insert holes or keep-outs", keeps="It lies clear of holes and keep-outs.",
            source="the job's [inserts] and [[keep_out]] tables",
            mend="Move it, or place the art with another offset.")
    # Holes are told above: the margin is that of the board's own edge.
    safe = area.safe if not fittings.kept_off else union_all([area.safe, *fittings.kept_off])
    yield _Hazard(
        check="Important art in the margin", area=region.area.difference(safe),
        says="lies in the safety margin or beyond it, where trimming or register may cut it",
        keeps="It lies inside the safety margin.", source="the job's [area] table",
        mend="Move it inwards, or place the art with another offset.")
    if fittings.reach is not None:
        yield _Hazard(
            check="Important art out of reach", area=region.area.difference(fittings.reach.zone),
            says="lies where a flat screen does not reach the pressed board",
            keeps="A flat screen reaches all of it.", source="the job's [profile] and [frame] "
            "tables; see the screen's reach",
            mend="Move it towards mid-length, or print the flat sheet before pressing.")
