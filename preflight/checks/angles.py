"""Halftone angles against the mesh and against each other, and the beats they make."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from preflight.checks import limits
from preflight.facts.submission import Submission
from preflight.findings import Figure, Finding, Grade, at_least
from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from preflight.press.grating_beats import Beat, Grating, gap_between_deg, strongest_beats

#: An ink whose solid is less than this darker than the bare wood (L*) counts as light.
#: Own rule, no source.
_LIGHT_BELOW_WOOD = 15.0


def angle_clears_the_mesh(submission: Submission) -> Iterator[Finding]:
    """No halftone lies along the threads or their diagonal."""
    for ink in _periodic_inks(submission):
        turn = ink.angle.deg - submission.job.mesh_of(ink).angle_deg
        gap = gap_between_deg(turn, 0.0, 45.0)
        close = gap < limits.ANGLE_TO_MESH.value
        yield Finding(
            check="Angle to the mesh", subject=ink.name,
            grade=Grade.CARE if close else Grade.CLEAR,
            says=f"At {ink.angle.deg:g}° the dot rows lie {gap:.1f}° from the threads or their "
                 "diagonal.",
            measured=Figure(value=gap, unit="°"), limit=limits.ANGLE_TO_MESH.least,
            source=limits.ANGLE_TO_MESH.source,
            mend="7.5, 22.5, 52.5 or 82.5° to the threads would be clear." if close else "")


def angles_clear_each_other(submission: Submission) -> Iterator[Finding]:
    """Pairs of inks keep 30°, or 15° where one of them is light."""
    lightness = {f.name: f.lightness for f in submission.tones.inks} if submission.tones else {}
    for one, other in combinations(_periodic_inks(submission), 2):
        lighter = max(lightness.get(one.name, 0.0), lightness.get(other.name, 0.0))
        light = lighter > submission.job.wood.lab[0] - _LIGHT_BELOW_WOOD
        asked = 15.0 if light else limits.ANGLE_BETWEEN_INKS.value
        lines = all(submission.job.halftone_of(i).makes_lines for i in (one, other))
        gap = gap_between_deg(one.angle.deg, other.angle.deg, 180 if lines else 90)
        rulings = (submission.job.ruling_of(one).lpcm, submission.job.ruling_of(other).lpcm)
        same = max(rulings) / min(rulings) < 1.25
        close = same and gap < asked - 0.5
        beats = _beats_between(submission, one, other)
        yield Finding(
            check="Angle between inks", subject=f"{one.name} and {other.name}",
            grade=Grade.CARE if close else Grade.CLEAR,
            says=f"They lie {gap:.1f}° apart{_told(beats)}.",
            measured=Figure(value=gap, unit="°"), limit=at_least(asked, "°"),
            source=limits.ANGLE_BETWEEN_INKS.source,
            mend=f"Turn one of them until they lie {asked:g}° apart." if close else "")


def beats_stay_out_of_sight(submission: Submission) -> Iterator[Finding]:
    """Beats of each halftone with its own mesh, by frequency vectors; a simulation knows better."""
    length = submission.outline.length_mm
    simulated = {facts.subject for facts in submission.moire if facts.partner == "mesh"}
    for ink in _periodic_inks(submission):
        if ink.name in simulated:
            continue
        mesh = submission.job.mesh_of(ink)
        spec = submission.job.halftone_of(ink)
        beats = strongest_beats(
            _grating_of(submission, ink),
            Grating(lines_per_cm=mesh.threads_per_cm, angle_deg=mesh.angle_deg),
            longest_mm=length, greatest_order=8)
        wide = [b for b in beats if b.period_mm > 2 * 10 / spec.ruling_lpcm]
        worst = min(wide, key=lambda b: (b.order, -b.period_mm), default=None)
        low = worst is not None and worst.order < limits.BEAT_ORDER.value
        yield Finding(
            check="Moiré with the mesh", subject=ink.name,
            grade=Grade.CARE if low else Grade.CLEAR,
            says="No beat up to the 8th order is wide enough to be seen." if worst is None else
            f"The strongest beat has a period of {worst.period_mm:.1f} mm at "
            f"{worst.direction_deg:.0f}° (order {worst.order}"
            f"{', weak' if not low else ''}).",
            measured=Figure(value=worst.order if worst else 9, unit="th order"),
            limit=limits.BEAT_ORDER.least, source=limits.BEAT_ORDER.source,
            mend="Take a finer mesh, a coarser ruling, or turn the mesh by 7.5°." if low else "")


def _periodic_inks(submission: Submission) -> tuple[InkTable, ...]:
    """The inks with dots at a ruling and an angle: scattered dots beat little, solids do not."""
    job = submission.job
    screened = _screened(job)
    return tuple(ink for ink in job.photo_inks
                 if ink.name in screened and job.halftone_of(ink).is_periodic)


def _screened(job: Job) -> set[str]:
    """Names of the inks that print dots: of photographs all, else those of tints."""
    everyone = {ink.name for ink in job.ink}
    if any(table.kind == "photo" for table in job.art):
        return everyone
    tints = [table for table in job.art if table.tint.fraction < 1]
    return (everyone if any(table.colours for table in tints)
            else {table.ink for table in tints if table.ink})


def _beats_between(submission: Submission, one: InkTable, other: InkTable) -> tuple[Beat, ...]:
    return strongest_beats(_grating_of(submission, one), _grating_of(submission, other),
                           longest_mm=submission.outline.length_mm, greatest_order=2)


def _grating_of(submission: Submission, ink: InkTable) -> Grating:
    spec = submission.job.halftone_of(ink)
    return Grating(lines_per_cm=spec.ruling_lpcm, angle_deg=spec.angle_deg,
                   directions=1 if spec.makes_lines else 2)


def _told(beats: tuple[Beat, ...]) -> str:
    wide = max((b.period_mm for b in beats), default=0.0)
    return f"; their rosette repeats every {wide:.1f} mm" if wide else ""
