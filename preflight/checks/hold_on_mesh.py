"""Does the mesh hold dots, lines and lettering as they stand on the films?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from preflight.basis import Source
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
from preflight.findings import Figure, Finding, Grade, at_least, listed
from preflight.job_file.job import Job


def film_dots_are_held(submission: Submission) -> Iterator[Finding]:
    """Dots that fall and holes that fill, as they stand on the films."""
    if submission.hold is None or not submission.hold.inks:
        return
    limit = limits.TONE_LOST
    for kind in (_Kind("dots-on-film", "Dots on the film", "dots", "drop out"),
                 _Kind("holes-on-film", "Holes on the film", "holes between dots", "fill in")):
        inks = [(ink, ink.dots if kind.noun == "dots" else ink.holes)
                for ink in submission.hold.inks]
        failing = [(ink, held) for ink, held in inks
                   if held.worst_tone_lost * 100 > limit.value]
        for grade in (Grade.CARE, Grade.NOTE):
            some = [(ink, held) for ink, held in failing if grade is (
                Grade.CARE if held.tone_lost * 100 > limit.value else Grade.NOTE)]
            if some:
                yield _dots_lost(submission.job, kind, some, grade)
        if not failing:
            worst = max(held.worst_tone_lost for _, held in inks)
            yield Finding(
                id=kind.id, check=kind.title, subjects=tuple(ink.ink for ink, _ in inks),
                grade=Grade.CLEAR,
                says=f"Of {sum(held.seen for _, held in inks)} {kind.noun} measured on the films, "
                     f"{sum(held.lost for _, held in inks)} are smaller than their mesh holds; no "
                     f"place loses more than {worst * 100:.2f} % of tone by them.",
                measured=Figure(value=worst * 100, unit=limit.unit), limit=limit.figure,
                source=limit.source)


class _Kind(NamedTuple):
    """Dots or the holes between them, in words."""

    id: str
    title: str
    noun: str
    verb: str


def _dots_lost(job: Job, kind: _Kind, found: list[tuple[InkHold, DotsHeld]],
               grade: Grade) -> Finding:
    """One finding for all inks that lose tone; the worst of them in full."""
    limit = limits.TONE_LOST
    ink, held = max(found, key=lambda one: one[1].worst_tone_lost)
    worst = f"{held.worst_tone_lost * 100:.1f} %"
    others = [f"{held.worst_tone_lost * 100:.1f} % of {other.ink}" for other, held in found
              if other is not ink]
    return Finding(
        id=kind.id, check=kind.title, subjects=tuple(one.ink for one, _ in found), grade=grade,
        says=f"On the film of {ink.ink} {held.lost} of the {held.seen} {kind.noun} that were "
             f"measured {'is' if held.lost == 1 else 'are'} smaller than the "
             f"{ink.held_um:.0f} µm that the mesh holds, the smallest {held.least_um or 0:.0f} µm. "
             f"They {kind.verb}: at the worst place {worst} of tone is lost, "
             f"{held.tone_lost * 100:.2f} % over the whole print"
             + (f"; at their worst places {listed(others)}." if others else "."),
        # a care is for what is lost over the whole print, a note for the worst place
        measured=Figure(unit=limit.unit, value=100 * (
            max(one.tone_lost for _, one in found) if grade is Grade.CARE
            else held.worst_tone_lost)),
        limit=limit.figure, source=limit.source, place=held.place, mend=_mend(job, kind.noun))


def _mend(job: Job, noun: str) -> str:
    """What is not done yet of what keeps dots whole; else what the mesh and the ruling can do."""
    told = []
    if job.separation.small_dots != "thin":
        told.append('set small_dots = "thin"')
    ends = [key for key in ("smallest_tone", "largest_tone") if getattr(job.halftone, key)]
    if ends:
        told.append(f"leave out {' and '.join(ends)}, which the mesh then sets")
    other = "use a finer mesh or a coarser ruling"
    if told:
        sentence = ", ".join((*told, other))
        return f"{sentence[0].upper()}{sentence[1:]}."
    return (f"The small {noun} that small_dots = \"thin\" leaves are cut by lines, letters, the "
            f"art's edge or hard edges of tone; where they matter, {other}.")


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
            id="strokes-lost", check="Strokes lost on the film", subjects=(faint.file,),
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
    limit = limits.THIN_LENGTH.figure
    if lines and not much:
        limit = Figure(value=0, unit=limit.unit)
    noun, fate = ("lines", "print ragged or not at all") if lines else ("gaps", "fill in")
    least = "at least " if line.unseen else ""
    return Finding(
        id="lines-on-film" if lines else "gaps-on-film",
        check="Lines on the film" if lines else "Gaps on the film",
        subjects=(line.file, line.ink), subject=line.file,
        grade=Grade.CLEAR if not thin else Grade.CARE if much else Grade.NOTE,
        says=f"{least.capitalize()}{line.thin_mm:.1f} mm of {noun} are narrower on the film "
             f"than the {line.held_um:.0f} µm that the mesh of {line.ink} holds, the "
             f"narrowest {line.narrowest_um or 0:.0f} µm: they {fate}; about "
             f"{line.mm2_lost:.2f} mm² is lost."
        if thin else
        f"{line.thin_mm:.1f} mm of its {noun} are narrower on the film than the "
        f"{line.held_um:.0f} µm that the mesh of {line.ink} holds.",
        measured=Figure(value=line.thin_mm, unit=limit.unit), limit=limit,
        source=limits.THIN_LENGTH.source.beside(limits.FINEST_LINE.source),
        place=line.place if thin else None,
        mend=f"Draw {noun} of {line.held_um / 1000:.2f} mm or more, or give {line.ink} a mesh of "
             "thinner threads." if thin else "")


_WHAT = {"stroke": "thinnest stroke", "counter": "smallest counter", "gap": "narrowest gap"}
#: What becomes of a part that is too small, if ink, and if clear: wholly, and in part.
_INK_FATE, _CLEAR_FATE = ("does not print", "prints ragged"), ("fills with ink", "fills in part")


def lettering_is_held(submission: Submission) -> Iterator[Finding]:
    """Strokes, counters and gaps of letters are no smaller on the film than the mesh holds."""
    if submission.hold is None:
        return
    for lettering in submission.hold.lettering:
        failing = [part for part in lettering.parts if part.under]
        if failing:
            yield _too_small(lettering, failing)
        elif lettering.parts:
            yield _held(lettering)


def source_of(part: LetterPart, thread_um: float) -> Source:
    """Where the limit of a part comes from: the rule on lines, or that on dots."""
    line_um = limits.FINEST_LINE.value * thread_um
    by_line = part.kind != "counter" or part.held_um <= line_um or math.isclose(
        part.held_um, line_um)
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
        id="lettering-on-film", check="Lettering on the film",
        subjects=(lettering.subject, lettering.ink), subject=lettering.subject, grade=Grade.CLEAR,
        says=f"{_where(lettering)} the mesh holds all of it{barely}: {sizes_told(lettering)}.",
        measured=Figure(value=tightest.um, unit="µm"), limit=at_least(tightest.held_um, "µm"),
        source=source_of(tightest, lettering.thread_um))


def _too_small(lettering: LetteringHold, failing: list[LetterPart]) -> Finding:
    worst = min(failing, key=lambda part: part.um / part.held_um)
    told = listed([_part_told(lettering, part) for part in failing])
    return Finding(
        id="lettering-on-film", check="Lettering on the film",
        subjects=(lettering.subject, lettering.ink), subject=lettering.subject, grade=Grade.CARE,
        says=f"{_where(lettering)} {told} (shortest letter '{lettering.shortest}' "
             f"{lettering.height_mm:.2f} mm high).",
        measured=Figure(value=worst.um, unit="µm"), limit=at_least(worst.held_um, "µm"),
        source=source_of(worst, lettering.thread_um), place=worst.place,
        mend=_lettering_mend(lettering))


def _part_told(lettering: LetteringHold, part: LetterPart) -> str:
    """The smallest stroke, counter or gap, and what becomes of it."""
    lost = share_lost(part.um, lettering.thread_um, part.held_um)
    is_ink = (part.kind == "stroke") != lettering.reversed_out
    fate = (_INK_FATE if is_ink else _CLEAR_FATE)[lost < 1]
    more = part.under - 1
    many = f", as {'does' if more == 1 else 'do'} {more} more" if more > 0 else ""
    size = "is closed on the film itself" if part.um == 0 else f"is {part.um:.0f} µm wide"
    held = "" if part.um == 0 else f" where the mesh holds {part.held_um:.0f} µm, and {fate}{many}"
    return f"the {_WHAT[part.kind]}, in '{part.letters}', {size}{held}"


def _where(lettering: LetteringHold) -> str:
    if lettering.reversed_out:
        return f"Reversed out of {lettering.ink},"
    return f"In {lettering.ink},"


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
    thread_um = math.floor(least / limits.FINEST_LINE.value)
    if thread_um >= limits.FINEST_THREAD.value:
        told += f", or give {lettering.ink} a mesh with threads of {thread_um} µm or thinner"
    return f"{told}; a font with wider strokes and counters helps too."
