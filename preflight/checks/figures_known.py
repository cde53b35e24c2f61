"""Does any figure that the print rests on come from nobody's reading?"""

from __future__ import annotations

from collections.abc import Iterator

from preflight.basis import Basis
from preflight.checks import limits
from preflight.facts.figure_facts import (
    COLOUR_OF_INK,
    COLOUR_OF_WOOD,
    DRAWN_BY_WOOD,
    RestingFigure,
)
from preflight.facts.submission import Submission
from preflight.findings import Figure, Finding, Grade, listed


def figures_are_read_not_invented(submission: Submission) -> Iterator[Finding]:
    """Colours and thirst that topsheet invented for want of the job's own are told."""
    if not submission.figures:
        return
    invented = [one for one in submission.figures if one.source.basis is Basis.INVENTED]
    inks = tuple(name for one in invented for name in one.subjects)
    limit = limits.INVENTED_FIGURES
    yield Finding(
        id="invented-figures", check="Values that are invented", subjects=inks,
        subject="wood and inks", grade=Grade.NOTE if len(invented) > limit.value else Grade.CLEAR,
        says=f"Invented by topsheet, for want of yours: {listed([_told(one) for one in invented])}."
             if invented else "No figure that the print rests on is invented.",
        measured=Figure(value=len(invented), unit=limit.unit), limit=limit.figure,
        source=limit.source,
        mend=_mend(invented, inks) if invented else "")


def _told(one: RestingFigure) -> str:
    ink = one.name == COLOUR_OF_INK
    what = f"the colour of {listed(one.subjects)}" if ink else f"the {one.name}"
    return f"{what} ({one.value})"


def _mend(invented: list[RestingFigure], inks: tuple[str, ...]) -> str:
    wood = any(one.name == COLOUR_OF_WOOD for one in invented)
    keys = [*(["lab in [wood]"] if wood else []),
            *([f"over_white of {listed(inks)}"] if inks else [])]
    told = (f"Read your own as CIELAB (D50, 2°) and set {listed(keys)}, or print the films of "
            "topsheet wedge and let topsheet calibrate read them." if keys else "")
    thirst = any(one.name == DRAWN_BY_WOOD for one in invented)
    return " ".join(part for part in (
        told, "Set absorption in [wood] (0 % on sealed wood), or weigh the ink of a run and let "
              "topsheet calibrate read it." if thirst else "") if part)
