"""Does the mesh hold the smallest lettering, as it stands on the films?"""

from __future__ import annotations

import math
from collections.abc import Iterator

from preflight.checks import limits
from preflight.facts.mesh_hold_facts import (
    DotsHeld,
    InkHold,
    LetteringHold,
    LetterPart,
    LineHold,
    share_lost,
)
from preflight.facts.submission import Submission
from preflight.findings import Figure, Finding, Grade, at_least
from preflight.job_file.job import Job


def film_dots_are_held(submission: Submission) -> Iterator[Finding]:
    """Dots that fall and holes that fill, as they stand on the films."""
    if submission.hold is None or not submission.hold.inks:
        return
    limit = limits.TONE_LOST
    for title, noun, verb in (("Dots on the film", "dots", "fall"),
                              ("Holes on the film", "holes between dots", "fill in")):
        inks = [(ink, ink.dots if title[0] == "D" else ink.holes) for ink in submission.hold.inks]
        failing = [(ink, held) for ink, held in inks
                   if held.worst_tone_lost * 100 > limit.value]
        for ink, held in failing:
            yield _dots_lost(submission.job, title, noun, verb, (ink, held))
        if not failing:
            worst = max(held.worst_tone_lost for _, held in inks)
            seen = sum(held.seen for _, held in inks)
            yield Finding(
                check=title, subject="all inks", grade=Grade.CLEAR,
                says=f"Of {seen} {noun} measured on the films, "
                     f"{sum(held.lost for _, held in inks)} are smaller than their mesh holds; no "
                     f"place loses more than {worst * 100:.2f} % of tone by them.",
                measured=Figure(value=worst * 100, unit="% of tone"), limit=limit.figure,
                source=limit.source)


def _dots_lost(job: Job, title: str, noun: str, verb: str, found: tuple[InkHold, DotsHeld]
               ) -> Finding:
    limit, (ink, held) = limits.TONE_LOST, found
    widely = held.tone_lost * 100 > limit.value
    return Finding(
        check=title, subject=ink.ink, grade=Grade.CARE if widely else Grade.NOTE,
        says=f"{held.lost} of {held.seen} {noun} measured on the film are smaller than the "
             f"{ink.held_um:.0f} µm that the mesh holds, the smallest {held.least_um or 0:.0f} µm; "
             f"where they {verb}, up to {held.worst_tone_lost * 100:.1f} % of tone is lost, "
             f"{held.tone_lost * 100:.2f} % over the whole print.",
        measured=Figure(value=held.worst_tone_lost * 100, unit="% of tone"), limit=limit.figure,
        source=limit.source, place=held.place,
        mend=_mend(job, noun))


def _mend(job: Job, noun: str) -> str:
    """What is not done yet of what keeps dots whole; else what the mesh and the ruling can do."""
    told = []
    if job.separation.small_dots != "thin":
        told.append('set small_dots = "thin"')
    ends = [key for key in ("smallest_tone", "largest_tone") if getattr(job.halftone, key)]
    if ends:
        told.append(f"leave out {' and '.join(ends)}, which the mesh then sets")
    other = "take a finer mesh for this ink, or a coarser ruling"
    if told:
        sentence = ", ".join((*told, other))
        return f"{sentence[0].upper()}{sentence[1:]}."
    return (f"Such {noun} as small_dots = \"thin\" leaves are cut by lines, letters, the art's "
            f"edge or hard edges of tone; where it matters, {other}.")


def film_lines_are_held(submission: Submission) -> Iterator[Finding]:
    """Lines, and gaps between them, that are finer on the film than the mesh carries."""
    if submission.hold is None:
        return
    for line in submission.hold.lines:
        yield _line(line)
    limit = limits.FAINT_LINES
    for faint in submission.hold.faint:
        lost = faint.mm > limit.value
        yield Finding(
            check="Strokes lost on the film", subject=faint.file,
            grade=Grade.CARE if lost else Grade.CLEAR,
            says=f"About {faint.mm:.0f} mm of strokes or gaps are too pale or too fine to appear "
                 "on the film at all: it prints where the drawing is more than half covered."
            if lost else
            "No stroke or gap of the drawing is too pale or too fine to appear on the film.",
            measured=Figure(value=faint.mm, unit="mm lost"), limit=limit.figure,
            source=limit.source, place=faint.place if lost else None,
            mend="Draw them black on white and wider, at more pixels per inch."
            if lost else "")


def _line(line: LineHold) -> Finding:
    lines = line.kind == "line"
    much = line.thin_mm > limits.THIN_LENGTH.value
    # Every place where two lines meet closes a little of the gap between them.
    thin = line.thin_mm > 0 if lines else much
    noun, fate = ("lines", "print ragged or not at all") if lines else ("gaps", "fill in")
    least = "at least " if line.unseen else ""
    return Finding(
        check="Lines on the film" if lines else "Gaps on the film", subject=line.file,
        grade=Grade.CLEAR if not thin else Grade.CARE if much else Grade.NOTE,
        says=f"{least.capitalize()}{line.thin_mm:.1f} mm of {noun} are narrower on the film "
             f"than the {line.held_um:.0f} µm that the mesh of {line.ink} holds, the "
             f"narrowest {line.narrowest_um or 0:.0f} µm: they {fate}; about "
             f"{line.mm2_lost:.2f} mm² are lost."
        if thin else
        f"{line.thin_mm:.1f} mm of its {noun} are narrower on the film than the "
        f"{line.held_um:.0f} µm that the mesh of {line.ink} holds.",
        measured=Figure(value=line.thin_mm, unit="mm too narrow"),
        limit=limits.THIN_LENGTH.figure,
        source=f"{limits.FINEST_LINE.source}; {limits.THIN_LENGTH.source}",
        place=line.place if thin else None,
        mend=f"Draw {noun} of {line.held_um / 1000:.2f} mm or more, or give {line.ink} a mesh of "
             "thinner threads." if thin else "")


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
        mend=_lettering_mend(lettering))


def _where(lettering: LetteringHold) -> str:
    if lettering.reversed_out:
        return f"Reversed out of {lettering.ink},"
    return f"In {lettering.ink}"


def _lettering_mend(lettering: LetteringHold) -> str:
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
