"""Cares that mends raise, and the mends that are to blame for them."""

from __future__ import annotations

from collections.abc import Sequence

from preflight.checks import limits
from preflight.findings import Finding, Grade
from preflight.job_file.job import Job
from preflight.mends.mend import Mend

_RANKS = list(Grade)
Key = tuple[str, str]


def raised_cares(before: Sequence[Finding], after: Sequence[Finding]) -> dict[Key, Finding]:
    """Cares and stops of the mended job that are graver than what the job had there before.

    Of the same grade the one is graver that misses its limit by clearly more.

    Returns
    -------
    dict of (str, str) to Finding
        By the finding's id and the subject for which it is graver.
    """
    was: dict[Key, tuple[int, float]] = {}
    for finding in before:
        for key in finding.keys:
            was[key] = min(was.get(key, _gravity(finding)), _gravity(finding))
    none = len(_RANKS), 0.0
    return {key: finding for finding in after if finding.grade in (Grade.STOP, Grade.CARE)
            for key in finding.keys if _is_graver(_gravity(finding), was.get(key, none))}


def _is_graver(now: tuple[int, float], before: tuple[int, float]) -> bool:
    return now[0] < before[0] or (
        now[0] == before[0] and now[1] < before[1] - limits.CLEARLY_WORSE.value)


def _gravity(finding: Finding) -> tuple[int, float]:
    """Least for the gravest: its grade, and by what part of its limit it misses it, negative."""
    off = abs(finding.measured.value - finding.limit.value)
    return _RANKS.index(finding.grade), -off / max(abs(finding.limit.value), 1e-9)


def to_blame(job: Job, mends: Sequence[Mend], before: Sequence[Finding],
             after: Sequence[Finding]) -> list[tuple[Mend, Finding]]:
    """Mends of angles, rulings and notes, each with the first raised care against its subject.

    Where both angle and ruling of an ink were mended the angle is to blame: there are more of
    them to choose from. A ruling that takes a stop away is worth a care, and not to blame for it.
    """
    stops = {key for f in after if f.grade is Grade.STOP for key in f.keys}
    stopped = {subject for f in before if f.grade is Grade.STOP
               for id_, subject in f.keys if (id_, subject) not in stops}
    blamed: dict[Mend, Finding] = {}
    for (_, subject), finding in raised_cares(before, after).items():
        bearing = [mend for mend in mends if subject in changed_by(job, mend)
                   and (mend.key_path[-1] == "angle" or finding.grade is Grade.STOP
                        or not stopped & changed_by(job, mend))]
        angles = [mend for mend in bearing if mend.key_path[-1] == "angle"]
        for mend in angles or bearing:
            blamed.setdefault(mend, finding)
    return list(blamed.items())


def changed_by(job: Job, mend: Mend) -> set[str]:
    """Names of the inks whose angle, ruling or mesh angle a mend sets, or the note that it sets."""
    path = mend.key_path
    if path[0] == "note" and isinstance(path[1], int):
        return {job.note[path[1]].text}
    if path[-1] not in ("angle", "ruling"):
        return set()
    if isinstance(path[1], int):
        return {job.ink[path[1]].name}
    own = "mesh" if path[0] == "mesh" else "ruling"
    return {ink.name for ink in job.ink if not getattr(ink, own)}
