"""Do line work, drawings and notes lie on the board, and inside its safe area?"""

from __future__ import annotations

from collections.abc import Iterator

from preflight.basis import given
from preflight.checks import limits
from preflight.checks.limit_row import Limit
from preflight.facts.submission import Submission
from preflight.findings import Figure, Finding, Grade, Place

_NONE_OF_IT = Figure(value=0, unit="% of it printed")


def drawn_work_prints(submission: Submission) -> Iterator[Finding]:
    """Nothing drawn lies wholly off the board, or is blank where the board is."""
    for line in submission.lines:
        if line.wholly_off and line.is_blank:
            yield _nothing_prints(
                line.file, "the part of the picture on the board's printed area is blank",
                "Give it dark lines on white, or opaque ones on nothing; or take it out of the "
                "job.")
        elif line.wholly_off:
            yield _wholly_off(line.file)
    for subject in dict.fromkeys(d.subject for d in submission.drawings if d.wholly_off):
        yield _wholly_off(subject)


def drawn_work_keeps_the_safety_margin(submission: Submission) -> Iterator[Finding]:
    """Lines, drawings and notes stay inside the safe area; beyond it the cut may take them."""
    for line in submission.lines:
        if not line.wholly_off:
            yield _margin(line.file, "drawing", line.mm2_beyond_safe, limits.BEYOND_SAFE,
                          line.place_beyond_safe)
    for drawing in submission.drawings:
        if not drawing.wholly_off and drawing.kind != "flat":
            limit = limits.NOTE_BEYOND_SAFE if drawing.kind == "note" else limits.BEYOND_SAFE
            yield _margin(drawing.subject, drawing.kind, drawing.mm2_beyond_safe, limit,
                          drawing.place_beyond_safe)


def _margin(subject: str, kind: str, mm2: float, limit: Limit, place: Place | None) -> Finding:
    beyond = mm2 > limit.value
    area = f"{mm2:.0f} mm²" if mm2 >= 10 else f"{mm2:.1f} mm²"
    return Finding(
        id="safety-margin", check="Safety margin", subjects=(subject,),
        grade=Grade.CARE if beyond else Grade.CLEAR,
        says=f"{area} of the {kind} lies in the safety margin or past it, where trimming or "
             "misregister may cut it off." if beyond else
        f"All of the {kind} keeps clear of the safety margin.",
        measured=Figure(value=mm2, unit="mm²"), limit=limit.figure, source=limit.source,
        place=place if beyond else None,
        mend="Move it inwards, unless it is meant to run off the edge." if beyond else "")


def _wholly_off(subject: str) -> Finding:
    return _nothing_prints(
        subject, "it lies wholly off the board's printed area",
        "Place it on the board: check the signs and units of its place and offsets (along: + "
        "towards the nose; across: + to the left). Or take it out of the job.")


def _nothing_prints(subject: str, why: str, mend: str) -> Finding:
    return Finding(
        id="on-the-board", check="Place on the board", subjects=(subject,), grade=Grade.STOP,
        says=f"None of it prints: {why}.", measured=_NONE_OF_IT, limit=_NONE_OF_IT,
        source=given("where the job places it"), mend=mend)
