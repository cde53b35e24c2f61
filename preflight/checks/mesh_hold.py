"""What the films' own dots and lines lose on the meshes that are to carry them."""

from __future__ import annotations

from collections.abc import Iterator

from preflight.checks import limits
from preflight.findings import Figure, Finding, Grade
from preflight.hold_facts import DotsHeld, InkHold, LineHold
from preflight.job_file.job import Job
from preflight.submission import Submission


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
