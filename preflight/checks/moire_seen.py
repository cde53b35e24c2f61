"""Moiré as simulated prints show it: with the mesh, between inks, and with the photograph."""

from __future__ import annotations

from collections.abc import Iterator

from preflight.findings import Figure, Finding, Grade, at_least
from preflight.moire_facts import PLAINLY_SEEN, SEEN_WHEN_LOOKED_FOR, MoireFacts, Partner
from preflight.submission import Submission

_EYE = ("eye's contrast threshold at 40 cm: Barten, Proc. SPIE 5294 (2003), 231; how far above it "
        "dots still mask a beat: own rule, no source")
_THREADS_UNDER_A_DOT = 1.5
_THREADS_SOURCE = ("trade handbooks, 1.5 to 2 thread pitches, from memory, unverified; scattered "
                   "dots have no ruling that could beat with the mesh")
_ELSE = {"mesh": "Take a finer mesh, another ruling, or turn the mesh.",
         "ink": "Turn one of the inks, or give it another ruling.",
         "underbase": "Turn the underbase, or give it another ruling or stochastic dots.",
         "photograph": "Soften the pattern there a little, or give that ink another ruling or "
                       "angle."}


def mesh_does_not_beat(submission: Submission) -> Iterator[Finding]:
    """No ink's halftone beats visibly with its own mesh."""
    return _of(submission, "mesh", "Moiré with the mesh, simulated")


def inks_do_not_beat(submission: Submission) -> Iterator[Finding]:
    """No two inks' halftones beat visibly with each other."""
    return _of(submission, "ink", "Moiré between inks, simulated")


def underbase_does_not_beat(submission: Submission) -> Iterator[Finding]:
    """No ink's halftone beats visibly with the underbase's beneath it."""
    return _of(submission, "underbase", "Moiré with the underbase, simulated")


def photo_does_not_beat(submission: Submission) -> Iterator[Finding]:
    """No fine pattern of the photograph beats visibly with an ink's halftone."""
    return _of(submission, "photograph", "Moiré with the photograph's own patterns")


def scattered_dots_outgrow_the_mesh(submission: Submission) -> Iterator[Finding]:
    """Scattered dots are not so small that the threads decide which of them print."""
    job = submission.job
    for ink in job.photo_inks:
        spec, mesh = job.halftone_of(ink), job.mesh_of(ink)
        if spec.is_periodic:
            continue
        pitches = spec.stochastic_dot_um / mesh.pitch_um
        small = pitches < _THREADS_UNDER_A_DOT
        yield Finding(
            check="Scattered dots on the mesh", subject=ink.name,
            grade=Grade.CARE if small else Grade.CLEAR,
            says=f"Its dots of {spec.stochastic_dot_um:.0f} µm span {pitches:.1f} threads of the "
                 f"mesh{', so the weave decides which of them print' if small else ''}.",
            measured=Figure(value=pitches, unit="thread pitches"),
            limit=at_least(_THREADS_UNDER_A_DOT, "thread pitches"),
            source=_THREADS_SOURCE,
            mend=f"Make the dots at least {_THREADS_UNDER_A_DOT * mesh.pitch_um:.0f} µm wide, or "
                 "take a finer mesh." if small else "")


def _of(submission: Submission, partner: Partner, check: str) -> Iterator[Finding]:
    for facts in submission.moire:
        if facts.partner == partner:
            yield _finding(facts, check)


def _finding(facts: MoireFacts, check: str) -> Finding:
    times = facts.times_threshold
    grade = (Grade.CARE if times >= PLAINLY_SEEN else
             Grade.NOTE if times >= SEEN_WHEN_LOOKED_FOR else Grade.CLEAR)
    return Finding(
        check=check, subject=facts.subject, grade=grade, says=_told(facts, grade),
        measured=Figure(value=times, unit="times the eye's threshold"),
        limit=Figure(value=SEEN_WHEN_LOOKED_FOR, unit="times the eye's threshold"), source=_EYE,
        place=facts.place, mend="" if grade is Grade.CLEAR else _mend(facts))


def _told(facts: MoireFacts, grade: Grade) -> str:
    if facts.contrast == 0.0:
        return "No beat coarser than the dots was found."
    order = f" ({facts.order})" if facts.order else ""
    wave = (f"bands {facts.period_mm:.1f} mm apart across {facts.direction_deg:.0f}°{order}, "
            f"contrast {facts.contrast * 100:.1f} % at a film tone of {facts.tone * 100:.0f} %")
    if grade is Grade.CLEAR:
        return f"The strongest beat, {wave}, drowns in the dots."
    struck = ", ".join(f"{t * 100:.0f}" for t in facts.tones_struck)
    tones = f"; tints struck: {struck} %" if struck else ""
    seen = ("will be seen" if grade is Grade.CARE else
            "can be seen in even tints by who looks for it")
    return f"A beat {seen}: {wave}{tones}."


def _mend(facts: MoireFacts) -> str:
    if not facts.mends:
        return _ELSE[facts.partner]
    return f"Simulated without it: {', or '.join(facts.mends)}."
