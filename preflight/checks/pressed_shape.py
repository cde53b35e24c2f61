"""The pressed board's shape: does its profile fit the outline, and does a flat screen reach it?"""

from __future__ import annotations

from collections.abc import Iterator

from shapely import get_parts

from preflight.board.screen_reach import RULE, ScreenReach
from preflight.facts.submission import Submission, place_of
from preflight.findings import Figure, Finding, Grade

#: How far (mm) the profile's ends may lie from the outline's. Own rules, no source: what a tape
#: measure reads wrong; and what is another board.
_ENDS_NEAR_MM, _ENDS_FAR_MM = 2.0, 20.0
#: Printed area that may lie out of reach unmentioned (mm²), and the share of it beyond which the
#: screen is of no use. Own rules, no source.
_SPECK_MM2, _USELESS = 1.0, 0.5


def pressed_shape_is_printable(submission: Submission) -> Iterator[Finding]:
    """The side profile is this board's, and the art lies within a flat screen's reach."""
    frames = submission.fittings.frames
    if frames.profile is None or frames.plan_length_mm is None or frames.flat_length_mm is None:
        return
    start, end = frames.profile.ends_mm
    apart = abs(end - start - frames.plan_length_mm) / 2
    grade = (Grade.STOP if apart > _ENDS_FAR_MM else Grade.CARE if apart > _ENDS_NEAR_MM
             else Grade.CLEAR)
    yield Finding(
        check="Side profile's length", subject="board", grade=grade,
        says=f"The side profile is {end - start:.1f} mm long as seen from above, the outline "
             f"{frames.plan_length_mm:.1f} mm; flat, the board is {frames.flat_length_mm:.1f} mm.",
        measured=Figure(value=apart, unit="mm at each end"),
        limit=Figure(value=_ENDS_NEAR_MM, unit="mm at each end"),
        source="own rule, no source: what a tape measure reads wrong",
        mend="" if grade is Grade.CLEAR else
        "Measure profile and outline on the same board, and see that outline_view says whether "
        "the outline is flat or a plan.")
    if submission.fittings.reach is not None:
        yield _reach(submission, submission.fittings.reach)
        yield from _frame_clears_the_ends(submission, submission.fittings.reach)


def _reach(submission: Submission, reach: ScreenReach) -> Finding:
    printed = submission.area.printed
    beyond = printed.difference(reach.zone)
    share = float(beyond.area / printed.area)
    grade = (Grade.CLEAR if beyond.area <= _SPECK_MM2 else
             Grade.STOP if share > _USELESS else Grade.CARE)
    clear = grade is Grade.CLEAR
    spans = " and ".join(f"{start:.0f} to {end:.0f} mm" for start, end in reach.spans_mm)
    worst = max(get_parts(beyond), key=lambda part: part.area, default=None)
    return Finding(
        check="Screen's reach", subject="pressed board", grade=grade,
        says=f"With {submission.job.frame.off_contact.written} off-contact at mid-length a flat "
             f"screen reaches {spans} along the board"
             + ("." if clear else f"; {beyond.area / 100:.0f} cm² of the art "
                f"({share * 100:.1f} %) lie beyond."),
        measured=Figure(value=float(beyond.area) / 100, unit="cm² out of reach"),
        limit=Figure(value=_SPECK_MM2 / 100, unit="cm² out of reach"), source=RULE,
        place=None if clear or worst is None else place_of(worst.bounds),
        mend="" if clear else
        "Print the flat sheet before pressing, hold the board flat under the screen (and give the "
        "profile as it is held), or end the art where the screen ends with a [[keep_out]].")


def _frame_clears_the_ends(submission: Submission, reach: ScreenReach) -> Iterator[Finding]:
    """A frame longer than the stretch under its mesh rests on the turned-up ends."""
    tail, nose = reach.through_mm
    if tail is None or nose is None:
        return
    frame, limit = submission.job.frame.inside_length, nose - tail
    over = frame.mm > limit
    yield Finding(
        check="Frame between the ends", subject="screen frame",
        grade=Grade.CARE if over else Grade.CLEAR,
        says=f"The board rises through the mesh at {tail:.0f} and {nose:.0f} mm; a frame "
             f"{frame.written} inside " + ("rests on the turned-up ends." if over else
                                           "lies between them."),
        measured=Figure(value=frame.mm, unit="mm"), limit=Figure(value=limit, unit="mm"),
        source="geometry of this job's [profile] and [frame]",
        mend="Hold the ends down, take a shorter frame, or print the flat sheet before pressing."
        if over else "")
