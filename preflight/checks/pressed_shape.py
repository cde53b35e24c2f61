"""The pressed board's shape: does its profile fit the outline, and does a flat screen reach it?"""

from __future__ import annotations

from collections.abc import Iterator

from shapely import get_parts

from preflight.basis import given
from preflight.board.screen_reach import ScreenReach
from preflight.checks import limits
from preflight.facts.submission import Submission, place_of
from preflight.findings import Figure, Finding, Grade


def pressed_shape_is_printable(submission: Submission) -> Iterator[Finding]:
    """The side profile is this board's, and the art lies within a flat screen's reach."""
    frames = submission.fittings.frames
    if frames.profile is None or frames.plan_length_mm is None or frames.flat_length_mm is None:
        return
    start, end = frames.profile.ends_mm
    apart = abs(end - start - frames.plan_length_mm) / 2
    limit = limits.PROFILE_ENDS
    grade = (Grade.STOP if apart > limits.PROFILE_OF_ANOTHER.value else
             Grade.CARE if apart > limit.value else Grade.CLEAR)
    limit = limits.PROFILE_OF_ANOTHER if grade is Grade.STOP else limit
    yield Finding(
        id="profile-length", check="Length of the side profile", subject="board", grade=grade,
        says=f"The side profile is {end - start:.1f} mm long as seen from above, the outline "
             f"{frames.plan_length_mm:.1f} mm; flat, the board is {frames.flat_length_mm:.1f} mm.",
        measured=Figure(value=apart, unit=limit.unit), limit=limit.figure, source=limit.source,
        mend="" if grade is Grade.CLEAR else
        "Measure profile and outline on the same board, and see that outline_view says whether "
        "the outline is flat or a plan.")
    if submission.fittings.reach is not None:
        yield _reach(submission, submission.fittings.reach)
        yield from _frame_clears_the_ends(submission, submission.fittings.reach)


def _reach(submission: Submission, reach: ScreenReach) -> Finding:
    printed = submission.area.printed
    beyond = printed.difference(reach.zone)
    percent, limit = float(beyond.area / printed.area) * 100, limits.REACH_MISSED
    beyond_cm2 = float(beyond.area) / 100
    grade = (Grade.CLEAR if beyond_cm2 <= limit.value else
             Grade.STOP if percent > limits.REACH_USELESS.value else Grade.CARE)
    clear, useless = grade is Grade.CLEAR, grade is Grade.STOP
    limit = limits.REACH_USELESS if useless else limit
    spans = " and ".join(f"from {start:.0f} to {end:.0f} mm" for start, end in reach.spans_mm)
    worst = max(get_parts(beyond), key=lambda part: part.area, default=None)
    return Finding(
        id="screen-reach", check="Reach of the screen", subject="pressed board", grade=grade,
        says=f"With {submission.job.frame.off_contact.written} off-contact at mid-length a flat "
             f"screen reaches {spans} along the board"
             + ("." if clear else f"; {beyond_cm2:.0f} cm² of the art ({percent:.1f} %) lies "
                "beyond."),
        measured=Figure(value=percent if useless else beyond_cm2, unit=limit.unit),
        limit=limit.figure, source=limit.source,
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
        id="frame-between-ends", check="Frame between the ends", subject="screen frame",
        grade=Grade.CARE if over else Grade.CLEAR,
        says=f"The board rises through the mesh at {tail:.0f} and {nose:.0f} mm; a frame "
             f"{frame.written} inside " + ("rests on the turned-up ends." if over else
                                           "lies between them."),
        measured=Figure(value=frame.mm, unit="mm"), limit=Figure(value=limit, unit="mm"),
        source=given("the job's [profile] and [frame] tables"),
        mend="Hold the ends down, use a shorter frame, or print the flat sheet before pressing."
        if over else "")
