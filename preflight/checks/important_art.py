"""What the artist marks as important: is it seen whole?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from shapely import union_all

from preflight.board.area_mask import Area
from preflight.board.fittings import NamedArea
from preflight.findings import Figure, Finding, Grade
from preflight.submission import Submission, place_of

#: A part of a region smaller than this is not worth a word (mm²). Own rule, no source.
_SPECK_MM2 = 1.0


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
    grade = (Grade.CLEAR if mm2 <= _SPECK_MM2 else
             Grade.STOP if hazard.lost and share > 0.5 else Grade.CARE)
    clear = grade is Grade.CLEAR
    return Finding(
        check=hazard.check, subject=region.name, grade=grade,
        says=hazard.keeps if clear else
        f"{mm2 / 100:.1f} cm² of it ({share * 100:.0f} %) {hazard.says}.",
        measured=Figure(value=mm2, unit="mm²"), limit=Figure(value=_SPECK_MM2, unit="mm²"),
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
