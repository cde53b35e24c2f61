"""Does the rosette of three inks stand still, or drift over the board as films lie askew?"""

from __future__ import annotations

import math
from collections.abc import Iterator

from preflight.checks import limits
from preflight.facts.moire_facts import (
    BY_EYE_DEG,
    CAREFUL_DEG,
    PLAINLY_SEEN,
    SEEN_WHEN_LOOKED_FOR,
    MoireFacts,
    Partner,
    RosetteFacts,
)
from preflight.facts.submission import Submission
from preflight.findings import Figure, Finding, Grade, at_least

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


#: Changes slower than this are seen as colour that drifts, not as bands. Own rule, no source.
_DRIFTS_FROM_MM = 10.0


def rosette_stands_still(submission: Submission) -> Iterator[Finding]:
    """The rosette of three inks does not change over the board, nor with it the colour."""
    for facts in submission.rosettes:
        yield _rosette_finding(facts)


def _rosette_finding(facts: RosetteFacts) -> Finding:
    limit = limits.ROSETTE_DRIFT
    grade = _grade(facts)
    names = f"{facts.inks[0]}, {facts.inks[1]} and {facts.inks[2]}"
    says = (f"{_begun(facts)} ({facts.told}){_askew(facts)}; from one end of the change to the "
            f"other the colour moves by ΔE00 {facts.de00:.1f} in tints of {facts.tone * 100:.0f} "
            "%.")
    return Finding(
        check="Rosette of three inks", subject=names, grade=grade, says=says,
        measured=_figure(facts.de00), limit=limit.figure, source=limit.source,
        mend=_rosette_mend(facts) if grade is not Grade.CLEAR else "")


def _begun(facts: RosetteFacts) -> str:
    if math.isinf(facts.period_mm):
        return "As the angles are set it stands still"
    digits = 0 if facts.period_mm >= _DRIFTS_FROM_MM else 1
    return (f"As the angles are set it changes every {facts.period_mm:.{digits}f} mm across "
            f"{facts.direction_deg:.0f}°")


def _askew(facts: RosetteFacts) -> str:
    """What becomes of it when films lie askew; a short change hardly minds."""
    if facts.period_mm < _DRIFTS_FROM_MM:
        return ""
    return (f"; with films askew by the {facts.placement_deg:.3f}° of this job's placement it "
            f"changes every {facts.placed_mm:.0f} mm at worst, by {CAREFUL_DEG:g}° every "
            f"{facts.careful_mm:.0f} mm, by {BY_EYE_DEG:g}° every {facts.by_eye_mm:.0f} mm")


def _figure(de00: float) -> Figure:
    return Figure(value=de00, unit=limits.ROSETTE_DRIFT.unit)


def _grade(facts: RosetteFacts) -> Grade:
    """A care where the job's own placement lets it change on the board, or the eye sees bands.

    A note where films laid with care would do so. Changes as short as a few halftone periods are
    the rosette's own texture: there the eye's threshold decides alone.
    """
    slow = facts.period_mm >= _DRIFTS_FROM_MM and facts.de00 > limits.ROSETTE_DRIFT.value
    if facts.times_threshold >= PLAINLY_SEEN or (slow and facts.placed_mm < facts.length_mm):
        return Grade.CARE
    return Grade.NOTE if (slow and facts.careful_mm < 2 * facts.length_mm
                          ) or facts.times_threshold >= SEEN_WHEN_LOOKED_FOR else Grade.CLEAR


def _rosette_mend(facts: RosetteFacts) -> str:
    if facts.stands_within_deg <= 0:
        return ("Set these three inks 30° apart at one ruling, so that the rosette stands still, "
                "or give one of them stochastic dots.")
    end_mm = math.tan(math.radians(facts.stands_within_deg)) * facts.length_mm
    return (f"Lay films and screens by the marks at both ends, within {end_mm:.2f} mm over the "
            f"board's length ({facts.stands_within_deg:.3f}°): the rosette then keeps to half a "
            "change; or give one of the three stochastic dots.")
