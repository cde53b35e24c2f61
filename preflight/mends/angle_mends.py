"""Turning halftones clear of the mesh and of each other."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from preflight.checks import limits
from preflight.checks.angles import (
    angle_clears_the_mesh,
    angles_clear_each_other,
    beats_stay_out_of_sight,
    lightness_of,
    periodic_inks,
)
from preflight.facts.submission import Submission
from preflight.findings import Grade
from preflight.job_file.job_tables import InkTable
from preflight.mends.mend import NOTHING, KeyPath, Mend, Shunned, job_with
from preflight.press.grating_beats import gap_between_deg
from preflight.units import Angle

#: Angles to the threads that are tried. Source: Sefar, "Questions about half-tone printing" (set
#: of four, 7.5° clear of threads and diagonal), and the same set turned by a quarter.
_TO_THE_THREADS = (7.5, 22.5, 37.5, 52.5, 67.5, 82.5)
#: More inks than this are not searched through together.
_MOST_INKS = 6
#: So many of the best sets are compared by the beats that they make with the mesh.
_COMPARED = 12


def angle_mends(submission: Submission, shunned: Shunned = NOTHING) -> Iterator[Mend]:
    """Turn the fewest inks by the least until mesh and inks are clear of each other.

    Where no set of angles clears everything, the one with the fewest faults is proposed, if it is
    better than the job's own. Angles that are ``shunned`` are passed over.
    """
    faulty = [f for check in (angle_clears_the_mesh, angles_clear_each_other)
              for f in check(submission) if f.grade is not Grade.CLEAR]
    inks = periodic_inks(submission)[:_MOST_INKS]
    if not faulty or not inks:
        return
    own = tuple(ink.angle.deg for ink in inks)
    best = _Search(submission, inks, shunned).best(own)
    for ink, angle in zip(inks, best, strict=True):
        if angle == ink.angle.deg:
            continue
        mine = next((f.says for f in faulty if ink.name in f.subjects),
                    "Turned with the others, so that all keep clear of each other.")
        yield Mend(key_path=_key(submission, ink), before=ink.angle.deg, after=angle, why=mine)


@dataclass(frozen=True, slots=True)
class _Rated:
    """A set of angles: how many faults it has, how many inks it turns, and by how much."""

    faults: int
    turned: int
    moved_deg: float
    angles: tuple[float, ...]

    @property
    def rank(self) -> tuple[int, int, float]:
        return self.faults, self.turned, self.moved_deg


class _Search:
    """All sets of clear angles, ink by ink, those that can no longer be good left out early."""

    def __init__(self, submission: Submission, inks: tuple[InkTable, ...],
                 shunned: Shunned) -> None:
        self._submission, self._inks = submission, inks
        job = submission.job
        self._lines = [job.halftone_of(ink).makes_lines for ink in inks]
        self._threads = [job.mesh_of(ink).angle_deg for ink in inks]
        self._rulings = [job.ruling_of(ink).lpcm for ink in inks]
        light = lightness_of(submission)
        above = job.wood_lab[0] - limits.LIGHT_INK.value
        self._light = [light.get(ink.name, 0.0) > above for ink in inks]
        self._choices = [self._choices_of(place, shunned) for place in range(len(inks))]

    def best(self, own: tuple[float, ...]) -> tuple[float, ...]:
        """The set with the fewest faults, inks turned and beats; the job's own where none is."""
        rated = sorted(self._sets(own), key=lambda one: one.rank)
        alike = [one for one in rated if one.faults == rated[0].faults
                 and one.turned == rated[0].turned][:_COMPARED]
        if alike[0].faults >= self._faults(own, len(own)):
            return own
        return min(alike, key=lambda one: (self._beats(one.angles), one.moved_deg)).angles

    def _choices_of(self, place: int, shunned: Shunned) -> list[float]:
        """The ink's own angle, and those clear of its mesh, written 0 to 90 (line dots to 180)."""
        ink, span = self._inks[place], 180 if self._lines[place] else 90
        clear = {(self._threads[place] + turn + quarter) % span for turn in _TO_THE_THREADS
                 for quarter in range(0, span, 90)}
        key = _key(self._submission, ink)
        return [ink.angle.deg, *sorted(deg for deg in clear - {ink.angle.deg}
                                       if shunned.allows(key, deg))]

    def _sets(self, own: tuple[float, ...]) -> Iterator[_Rated]:
        """Sets no worse than the best so far in faults and inks turned."""
        best = [(self._faults(own, len(own)), len(own) + 1)]
        begun: list[tuple[float, ...]] = [()]
        while begun:
            angles = begun.pop()
            turned = sum(a != b for a, b in zip(angles, own, strict=False))
            faults = self._faults(angles, len(angles))
            if (faults, turned) > best[0]:
                continue
            if len(angles) == len(own):
                best[0] = min(best[0], (faults, turned))
                moved = sum(gap_between_deg(a, b, 180.0)
                            for a, b in zip(own, angles, strict=True))
                yield _Rated(faults, turned, moved, angles)
                continue
            begun += [(*angles, deg) for deg in reversed(self._choices[len(angles)])]

    def _faults(self, angles: tuple[float, ...], count: int) -> int:
        least = limits.ANGLE_TO_MESH.value - limits.ANGLE_SLACK.value
        mesh = sum(gap_between_deg(deg - self._threads[n], 0.0, 45.0) < least
                   for n, deg in enumerate(angles))
        return mesh + sum(self._is_close(angles, a, b) for b in range(count) for a in range(b))

    def _is_close(self, angles: tuple[float, ...], a: int, b: int) -> bool:
        rulings = self._rulings[a], self._rulings[b]
        if max(rulings) / min(rulings) >= limits.SAME_RULING.value:
            return False
        light = self._light[a] or self._light[b]
        asked = limits.ANGLE_TO_LIGHT_INK if light else limits.ANGLE_BETWEEN_INKS
        repeat = 180 if self._lines[a] and self._lines[b] else 90
        least = asked.value - limits.ANGLE_SLACK.value
        return gap_between_deg(angles[a], angles[b], repeat) < least

    def _beats(self, angles: tuple[float, ...]) -> int:
        job = self._submission.job
        for ink, deg in zip(self._inks, angles, strict=True):
            job = job_with(job, _key(self._submission, ink), Angle(deg, f"{deg:g}°"))
        tried = replace(self._submission, job=job, moire=())
        return sum(f.grade is not Grade.CLEAR for f in beats_stay_out_of_sight(tried))


def _key(submission: Submission, ink: InkTable) -> KeyPath:
    return "ink", submission.job.ink.index(ink), "angle"
