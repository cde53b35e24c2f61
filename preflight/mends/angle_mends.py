"""Turning halftones clear of the mesh and of each other."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, product

from preflight.checks.angles import (
    angle_clears_the_mesh,
    angles_clear_each_other,
    beats_stay_out_of_sight,
)
from preflight.facts.submission import Submission
from preflight.findings import Finding, Grade
from preflight.job_file.job_tables import InkTable
from preflight.mends.mend import NOTHING, KeyPath, Mend, Shunned, job_with
from preflight.press.grating_beats import gap_between_deg
from preflight.units import Angle

#: Angles to the threads that are tried. Source: Sefar, "Questions about half-tone printing" (set
#: of four, 7.5° clear of threads and diagonal), and the same set turned by a quarter.
_TO_THE_THREADS = (7.5, 22.5, 37.5, 52.5, 67.5, 82.5)
#: More inks than this are not searched through together.
_MOST_TURNED = 4


def angle_mends(submission: Submission, shunned: Shunned = NOTHING) -> Iterator[Mend]:
    """Turn the fewest inks by the least until mesh and inks are clear of each other.

    Only inks that a check names are turned. Where no set of angles clears everything, the one
    with the fewest findings is proposed, if it is better than the job's own. Angles that are
    ``shunned`` are passed over.
    """
    faulty = _faults(submission)
    if not faulty:
        return
    named = {name for finding in faulty for name in finding.subjects}
    turned = [ink for ink in submission.job.photo_inks if ink.name in named
              and submission.job.halftone_of(ink).is_periodic][:_MOST_TURNED]
    best = _best_angles(submission, turned, len(faulty), shunned)
    left = _faults(_turned(submission, turned, best))
    for ink, angle in zip(turned, best, strict=True):
        if angle == ink.angle.deg:
            continue
        why = next(f.says for f in faulty if ink.name in f.subjects)
        tail = "the angles asked to the mesh and between inks are kept" if not left else \
            "fewer angles are at odds, though not all of them are kept"
        yield Mend(key_path=_key(submission, ink),
                   before=ink.angle.deg, after=angle, why=f"{ink.name}: {why} At {angle:g}° {tail}")


def _best_angles(submission: Submission, turned: list[InkTable], own_faults: int,
                 shunned: Shunned) -> tuple[float, ...]:
    """One ink turned if that clears everything, else two, and so on."""
    own = tuple(ink.angle.deg for ink in turned)
    best, fewest = own, own_faults
    for many in range(1, len(turned) + 1):
        clear = []
        for numbers in combinations(range(len(turned)), many):
            choices = (_choices(submission, turned[n], shunned) for n in numbers)
            for turns in product(*choices):
                angles = list(own)
                for n, turn in zip(numbers, turns, strict=True):
                    angles[n] = turn
                left = len(_faults(_turned(submission, turned, tuple(angles))))
                if left == 0:
                    clear.append(tuple(angles))
                elif left < fewest:
                    best, fewest = tuple(angles), left
        if clear:
            return min(clear, key=lambda a: (_beats(_turned(submission, turned, a)),
                                             _moved(own, a)))
    return best


def _choices(submission: Submission, ink: InkTable, shunned: Shunned) -> list[float]:
    """Angles clear of the ink's mesh, written 0 to 90 (line dots to 180)."""
    threads = submission.job.mesh_of(ink).angle_deg
    span = 180 if submission.job.halftone_of(ink).dot_shape == "line" else 90
    clear = {(threads + turn + quarter) % span for turn in _TO_THE_THREADS
             for quarter in range(0, span, 90)}
    key = _key(submission, ink)
    return sorted(deg for deg in clear - {ink.angle.deg} if shunned.allows(key, deg))


def _key(submission: Submission, ink: InkTable) -> KeyPath:
    return "ink", submission.job.ink.index(ink), "angle"


def _turned(submission: Submission, turned: list[InkTable],
            angles: tuple[float, ...]) -> Submission:
    job = submission.job
    for ink, angle in zip(turned, angles, strict=True):
        number = submission.job.ink.index(ink)
        job = job_with(job, ("ink", number, "angle"), Angle(angle, f"{angle:g}°"))
    return replace(submission, job=job)


def _faults(submission: Submission) -> list[Finding]:
    return [f for check in (angle_clears_the_mesh, angles_clear_each_other)
            for f in check(submission) if f.grade is not Grade.CLEAR]


def _beats(submission: Submission) -> int:
    return sum(f.grade is not Grade.CLEAR for f in beats_stay_out_of_sight(submission))


def _moved(own: tuple[float, ...], angles: tuple[float, ...]) -> float:
    return sum(gap_between_deg(one, other, 180.0) for one, other in zip(own, angles, strict=True))
