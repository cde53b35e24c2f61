"""Halftone angles against the mesh and against each other, and the beats they make."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import NamedTuple

from preflight.checks import limits
from preflight.checks.limit_row import Limit
from preflight.facts.submission import Submission
from preflight.findings import Figure, Finding, Grade, listed
from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from preflight.press.grating_beats import Beat, Grating, gap_between_deg, strongest_beats

#: Harmonics that are looked at for beats; higher ones are too weak to be seen.
_HIGHEST_ORDER = 8
#: Angles of a set for a mesh at 0°, the lightest ink's first. Source: Sefar, "Questions about
#: half-tone printing".
ANGLE_SET = (7.5, 22.5, 52.5, 82.5)


def angle_clears_the_mesh(submission: Submission) -> Iterator[Finding]:
    """No halftone lies along the threads or their diagonal."""
    gaps = [(_gap_to_mesh(submission.job, ink), ink) for ink in periodic_inks(submission)]
    limit = limits.ANGLE_TO_MESH
    for close in (True, False):
        inks = [(gap, ink) for gap, ink in gaps
                if (gap < limit.value - limits.ANGLE_SLACK.value) is close]
        if not inks:
            continue
        least = min(gap for gap, _ in inks)
        told = listed([f"{ink.name} at {ink.angle.deg:g}°" for _, ink in inks])
        rows = "rows of dots" if len(inks) == 1 else "rows of dots of each"
        yield Finding(
            id="angle-to-mesh", check="Angle to the mesh",
            subjects=tuple(ink.name for _, ink in inks),
            grade=Grade.CARE if close else Grade.CLEAR,
            says=f"{told}: the {rows} lie {_degrees(gap for gap, _ in inks)} from the threads of "
                 "the mesh or their diagonals.",
            measured=Figure(value=least, unit="°"), limit=limit.least, source=limit.source,
            mend=f"Set {', '.join(f'{deg:g}' for deg in ANGLE_SET[:-1])} or {ANGLE_SET[-1]:g}° to "
                 "the threads, or mount the mesh turned by 7.5°." if close else "")


def _degrees(gaps: Iterator[float]) -> str:
    found = sorted({round(gap, 1) for gap in gaps})
    return f"{found[0]:.1f}°" if len(found) == 1 else f"{found[0]:.1f} to {found[-1]:.1f}°"


def _gap_to_mesh(job: Job, ink: InkTable) -> float:
    return gap_between_deg(ink.angle.deg - job.mesh_of(ink).angle_deg, 0.0, 45.0)


class _Pair(NamedTuple):
    """Two inks whose rows of dots cross."""

    one: str
    other: str
    gap_deg: float
    asked_deg: float
    same_ruling: bool
    beats: tuple[Beat, ...]

    @property
    def is_close(self) -> bool:
        least = self.asked_deg - limits.ANGLE_SLACK.value
        return self.same_ruling and self.gap_deg < least


def angles_clear_each_other(submission: Submission) -> Iterator[Finding]:
    """Pairs of inks keep 30°, or 15° where one of them is light."""
    pairs = list(_pairs(submission))
    close = [pair for pair in pairs if pair.is_close]
    if close:
        yield _too_close(submission, close)
    for pair in pairs:
        if pair.is_close:
            continue
        limit = _limit_of(pair)
        yield Finding(
            id="angle-between-inks", check="Angle between inks", subjects=(pair.one, pair.other),
            grade=Grade.CLEAR,
            says=f"{pair.one} and {pair.other} lie {pair.gap_deg:.1f}° apart{_told(pair.beats)}.",
            measured=Figure(value=pair.gap_deg, unit="°"), limit=limit.least, source=limit.source)


def _too_close(submission: Submission, close: list[_Pair]) -> Finding:
    """One finding for all pairs: to turn one ink of one pair may spoil another."""
    names = [ink.name for ink in submission.job.photo_inks
             if any(ink.name in (pair.one, pair.other) for pair in close)]
    worst = max(close, key=lambda pair: pair.asked_deg - pair.gap_deg)
    limit = _limit_of(worst)
    told = listed([f"{pair.one} and {pair.other} lie {pair.gap_deg:.1f}° apart, where "
                   f"{pair.asked_deg:g}° is wanted" for pair in close])
    return Finding(
        id="angle-between-inks", check="Angle between inks", subjects=tuple(names),
        grade=Grade.CARE, says=f"{told}{_told(worst.beats)}.",
        measured=Figure(value=worst.gap_deg, unit="°"), limit=limit.least, source=limit.source,
        mend=_set_told(submission))


def _set_told(submission: Submission) -> str:
    inks = periodic_inks(submission)
    if len(inks) > len(ANGLE_SET):
        return ("Let two inks that seldom meet share an angle (such as a light ink and its dark "
                "complementary), or give one of them stochastic dots.")
    light = lightness_of(submission)
    lightest = max(inks, key=lambda ink: light.get(ink.name, 0.0))
    if len(inks) == len(ANGLE_SET):
        others = listed([f"{deg:g}" for deg in ANGLE_SET[1:]])
        return (f"To the threads of the mesh, {ANGLE_SET[0]:g}° for {lightest.name} and "
                f"{others}° for the other inks are clear of each other and of the mesh.")
    turns = listed([f"{deg:g}" for deg in ANGLE_SET[1:1 + len(inks)]])
    return (f"To the threads of the mesh, {turns}° for {listed([ink.name for ink in inks])} are "
            "clear of each other and of the mesh.")


def _pairs(submission: Submission) -> Iterator[_Pair]:
    lightness = lightness_of(submission)
    dark = submission.job.wood_lab[0] - limits.LIGHT_INK.value
    for one, other in combinations(periodic_inks(submission), 2):
        lighter = max(lightness.get(one.name, 0.0), lightness.get(other.name, 0.0))
        asked = limits.ANGLE_TO_LIGHT_INK if lighter > dark else limits.ANGLE_BETWEEN_INKS
        lines = all(submission.job.halftone_of(i).makes_lines for i in (one, other))
        rulings = (submission.job.ruling_of(one).lpcm, submission.job.ruling_of(other).lpcm)
        yield _Pair(
            one=one.name, other=other.name, asked_deg=asked.value,
            gap_deg=gap_between_deg(one.angle.deg, other.angle.deg,
                                    180 if lines else 90),
            same_ruling=max(rulings) / min(rulings) < limits.SAME_RULING.value,
            beats=strongest_beats(
                _grating_of(submission, one), _grating_of(submission, other),
                longest_mm=submission.outline.length_mm, greatest_order=2))


def _limit_of(pair: _Pair) -> Limit:
    light = pair.asked_deg == limits.ANGLE_TO_LIGHT_INK.value
    return limits.ANGLE_TO_LIGHT_INK if light else limits.ANGLE_BETWEEN_INKS


def lightness_of(submission: Submission) -> dict[str, float]:
    """CIELAB L* of the solid of each of the photograph's inks, as far as it is known."""
    return {f.name: f.lightness for f in submission.tones.inks} if submission.tones else {}


def beats_stay_out_of_sight(submission: Submission) -> Iterator[Finding]:
    """Beats of each halftone with its own mesh, by frequency vectors; a simulation knows better."""
    length = submission.outline.length_mm
    simulated = {facts.inks[0] for facts in submission.moire if facts.partner == "mesh"}
    for ink in periodic_inks(submission):
        if ink.name in simulated:
            continue
        mesh = submission.job.mesh_of(ink)
        spec = submission.job.halftone_of(ink)
        beats = strongest_beats(
            _grating_of(submission, ink),
            Grating(lines_per_cm=mesh.threads_per_cm, angle_deg=mesh.angle_deg),
            longest_mm=length, greatest_order=_HIGHEST_ORDER)
        wide = [b for b in beats
                if b.period_mm * spec.ruling_lpcm / 10 > limits.FINEST_BEAT.value]
        worst = min(wide, key=lambda b: (b.order, -b.period_mm), default=None)
        low = worst is not None and worst.order < limits.BEAT_ORDER.value
        yield Finding(
            id="mesh-moire-by-angles", check="Moiré with the mesh, by angles",
            subjects=(ink.name,), grade=Grade.CARE if low else Grade.CLEAR,
            says="No moiré of low order is wide enough to be seen." if worst is None else
            f"The strongest moiré has bands {worst.period_mm:.1f} mm apart, at "
            f"{(worst.direction_deg + 90) % 180:.0f}° to the board's length (order {worst.order}"
            f"{', weak' if not low else ''}).",
            measured=Figure(value=worst.order if worst else _HIGHEST_ORDER + 1,
                            unit=limits.BEAT_ORDER.unit),
            limit=limits.BEAT_ORDER.least, source=limits.BEAT_ORDER.source,
            mend="Use a finer mesh or a coarser ruling, or turn the mesh by 7.5°." if low else "")


def periodic_inks(submission: Submission) -> tuple[InkTable, ...]:
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


def _grating_of(submission: Submission, ink: InkTable) -> Grating:
    spec = submission.job.halftone_of(ink)
    return Grating(lines_per_cm=spec.ruling_lpcm, angle_deg=spec.angle_deg,
                   directions=1 if spec.makes_lines else 2)


def _told(beats: tuple[Beat, ...]) -> str:
    wide = max((b.period_mm for b in beats), default=0.0)
    return f"; their rosette repeats every {wide:.1f} mm" if wide else ""
