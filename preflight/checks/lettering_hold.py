"""Does the mesh hold the smallest lettering, as it stands on the films?"""

from __future__ import annotations

import math
from collections.abc import Iterator

from preflight.checks import limits
from preflight.findings import Figure, Finding, Grade, at_least
from preflight.hold_facts import LetteringHold, LetterPart, share_lost
from preflight.submission import Submission

_WHAT = {"stroke": "thinnest stroke", "counter": "smallest counter", "gap": "narrowest gap"}
_CHECK = {"stroke": "Letters' strokes on the film", "counter": "Letters' counters on the film",
          "gap": "Gaps between letters on the film"}
#: What becomes of a part that is too small, if ink, and if clear: wholly, and in part.
_INK_FATE, _CLEAR_FATE = ("does not print", "prints ragged"), ("fills with ink", "fills in part")
#: Threads finer than this are seldom sold (µm). Source: polyester from 30 µm is usual
#: (polyestermesh.org, "fabric types").
_FINEST_THREAD_UM = 30.0


def lettering_is_held(submission: Submission) -> Iterator[Finding]:
    """Strokes, counters and gaps of letters are no smaller on the film than the mesh holds."""
    if submission.hold is None:
        return
    for lettering in submission.hold.lettering:
        failing = [part for part in lettering.parts if part.under]
        for part in failing:
            yield _too_small(lettering, part)
        if not failing and lettering.parts:
            yield _held(lettering)


def source_of(part: LetterPart, thread_um: float) -> str:
    """Where the limit of a part comes from: the rule on lines, or that on dots."""
    by_line = part.kind != "counter" or part.held_um <= 3 * thread_um + 1e-6
    return limits.FINEST_LINE.source if by_line else limits.SMALLEST_DOT.source


def sizes_told(lettering: LetteringHold) -> str:
    """All of a lettering's figures in one phrase."""
    parts = ", ".join(f"{_WHAT[part.kind]} {part.um:.0f} µm in '{part.letters}'"
                      for part in lettering.parts)
    return (f"shortest letter '{lettering.shortest}' {lettering.height_mm:.2f} mm high"
            + (f", {parts}" if parts else ""))


def _held(lettering: LetteringHold) -> Finding:
    tightest = min(lettering.parts, key=lambda part: part.um / part.held_um)
    barely = " within half a film pixel" if tightest.um < tightest.held_um else ""
    return Finding(
        check="Lettering on the film", subject=lettering.subject, grade=Grade.CLEAR,
        says=f"{_where(lettering)} its mesh holds all of it{barely}: {sizes_told(lettering)}.",
        measured=Figure(value=tightest.um, unit="µm"), limit=at_least(tightest.held_um, "µm"),
        source=source_of(tightest, lettering.thread_um))


def _too_small(lettering: LetteringHold, part: LetterPart) -> Finding:
    lost = share_lost(part.um, lettering.thread_um, part.held_um)
    is_ink = (part.kind == "stroke") != lettering.reversed_out
    fate = (_INK_FATE if is_ink else _CLEAR_FATE)[lost < 1]
    many = "" if part.under == 1 else f"; {part.under} such are too small"
    closed = part.um == 0
    size = "is closed on the film itself" if closed else f"is {part.um:.0f} µm wide"
    more = "" if closed else f" and {fate}"
    return Finding(
        check=_CHECK[part.kind], subject=lettering.subject, grade=Grade.CARE,
        says=f"{_where(lettering)} the {_WHAT[part.kind]}, in '{part.letters}', {size}{more}{many} "
             f"(shortest letter '{lettering.shortest}' {lettering.height_mm:.2f} mm high).",
        measured=Figure(value=part.um, unit="µm"), limit=at_least(part.held_um, "µm"),
        source=source_of(part, lettering.thread_um), place=part.place,
        mend=_mend(lettering))


def _where(lettering: LetteringHold) -> str:
    if lettering.reversed_out:
        return f"Reversed out of {lettering.ink},"
    return f"In {lettering.ink}"


def _mend(lettering: LetteringHold) -> str:
    """What holds: letters so much larger, as tried on film pixels, or a cloth of thinner thread."""
    times = lettering.holds_from
    if times is None:
        told = "Draw the letters much larger"
    elif lettering.capital_mm:
        told = (f"Give it a cap_height of {lettering.capital_mm * times:.1f} mm (now "
                f"{lettering.capital_mm:.1f} mm), at which all of it holds")
    else:
        told = f"Draw its letters {times:.2f} times as large, at which all of them hold"
    if lettering.grown_by_trap:
        told += ", or a narrower [separation] trap, by which the film grows these letters"
    least = min(part.um for part in lettering.parts if part.under)
    thread_um = math.floor(least / 3)
    if thread_um >= _FINEST_THREAD_UM:
        told += f", or give {lettering.ink} a mesh with threads of {thread_um} µm or thinner"
    return f"{told}; a font with wider strokes and counters helps too."
