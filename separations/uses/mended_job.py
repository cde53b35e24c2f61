"""A job mended into a new file, read again and checked again."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass, field
from pathlib import Path

from preflight.findings import Finding, Grade
from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_reader import job_of_text
from preflight.mends.mend import KeyPath, Mend, Shunned, Written
from preflight.mends.mended_text import mended_text
from preflight.mends.proposals import proposed_mends
from preflight.mends.raised_cares import thing_mended, to_blame
from separations.pipeline.calls import checked, quick_session

#: So many sets of angles and rulings are checked before what raises cares is left alone; each
#: check takes seconds. Own choice, no source.
_TRIES = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class MendedJob:
    """What was mended, and what the checks said before and after.

    Attributes
    ----------
    mends : tuple of Mend
        Empty when there was nothing to mend by machine; then nothing was written.
    before, after : tuple of Finding
        All findings of the job as it was and of the new one; ``after`` None without mends.
    left_alone : tuple of str
        Angles and rulings that are as they were because mending them raises another care, each
        a sentence.
    """

    mends: tuple[Mend, ...]
    before: tuple[Finding, ...]
    after: tuple[Finding, ...] | None
    left_alone: tuple[str, ...] = ()

    @property
    def gone(self) -> tuple[Finding, ...]:
        """What was not in order before and is now."""
        now = _keys(self.after or ())
        return tuple(f for f in _told(self.before) if now.isdisjoint(f.keys))

    @property
    def staying(self) -> tuple[Finding, ...]:
        """What was not in order before and still is not, as the new job's checks tell it."""
        was = _keys(self.before)
        return tuple(f for f in _told(self.after or ()) if not was.isdisjoint(f.keys))

    @property
    def fresh(self) -> tuple[Finding, ...]:
        """What was in order before and is not now."""
        was = _keys(self.before)
        return tuple(f for f in _told(self.after or ()) if was.isdisjoint(f.keys))


def mend_job(job_path: Path, target: Path) -> MendedJob:
    """Write a new job file with the mends that are safe to make by machine.

    The new job is checked. Angles and rulings that raise a care or a stop that was not there are
    replaced by the next best, a few times, and then left alone; a ruling that takes a stop away
    may raise a care.

    Parameters
    ----------
    job_path : Path
        The job file, which is never touched.
    target : Path
        The new job file, in the same folder, since art is found beside the job.

    Raises
    ------
    InputProblem
        When the job cannot be used, or the new file exists, lies elsewhere or cannot be written.
    """
    _check_target(job_path, target)
    session = quick_session(job_path)
    job, text = session.job, job_path.read_text(encoding="utf-8-sig")
    before = checked(session)
    tried = _Tried(job=job)
    while mends := proposed_mends(before.submission, tried.shunned):
        better = mended_text(text, mends, job_path.name)
        after = checked(session.changed(job_of_text(better, target))).findings
        blamed = to_blame(job, mends, before.findings, after)
        if not blamed:
            _write_new(target, better)
            return MendedJob(mends=mends, before=before.findings, after=after,
                             left_alone=tried.left_alone(mends))
        tried.add(mends, blamed)
    return MendedJob(mends=(), before=before.findings, after=None,
                     left_alone=tried.left_alone(()))


@dataclass(slots=True, kw_only=True)
class _Tried:
    """Sets of mends that raised a care, and what is not to be proposed again for it."""

    job: Job
    times: int = 0
    shunned: Shunned = field(default_factory=Shunned)
    things: dict[KeyPath, str] = field(default_factory=dict)
    raised: dict[KeyPath, Finding] = field(default_factory=dict)

    def add(self, mends: tuple[Mend, ...], blamed: list[tuple[Mend, Finding]]) -> None:
        """Shun the values that are to blame; in the end all angles, and then all rulings too."""
        self.times += 1
        values: dict[KeyPath, tuple[Written, ...]] = dict(self.shunned.values)
        for mend, finding in blamed:
            values[mend.key_path] = (*values.get(mend.key_path, ()), mend.after)
            self.raised.setdefault(mend.key_path, finding)
        told = [mend for mend in mends if mend.key_path[-1] in ("angle", "ruling")]
        self.things |= {mend.key_path: thing_mended(self.job, mend) for mend in told
                        if self.times == 1 or mend.key_path in self.raised}
        inks = range(len(self.job.ink))
        keys: set[KeyPath] = set()
        if self.times >= _TRIES:
            keys |= {("ink", number, "angle") for number in inks}
        if keys and not any(mend.key_path in keys for mend, _ in blamed):
            keys |= {("halftone", "ruling"), *(("ink", number, "ruling") for number in inks)}
        self.shunned = Shunned(values=values, keys=frozenset(keys))

    def left_alone(self, mends: tuple[Mend, ...]) -> tuple[str, ...]:
        """What was tried in vain, each with the values tried and a care that the first raised."""
        made = {mend.key_path for mend in mends}
        return tuple(self._told(key) for key in self.things if key not in made)

    def _told(self, key: KeyPath) -> str:
        if key not in self.raised:
            return f"{self.things[key]}: no set of angles and rulings tried is free of other cares"
        values = [f"{v:g}°" if isinstance(v, float) else str(v) for v in self.shunned.values[key]]
        return (f"{self.things[key]}: {', '.join(values)} tried, and "
                f"{'each' if len(values) > 1 else 'that'} raises another care, "
                f"such as {self.raised[key].check}, {self.raised[key].subject}")


def _check_target(job_path: Path, target: Path) -> None:
    if target.parent.resolve() != job_path.parent.resolve():
        raise InputProblem(where=str(target), found="a folder other than the job's",
                           would_do=f"a name in {job_path.parent}, where the art is,")
    if target.exists() or target.is_symlink():
        raise _taken(target)


def _write_new(target: Path, text: str) -> None:
    """Write a file that must not exist yet; what was begun is removed when it fails."""
    try:
        with target.open("x", encoding="utf-8", newline="") as stream:
            try:
                stream.write(text)
            except BaseException:
                with contextlib.suppress(OSError):
                    target.unlink()
                raise
    except FileExistsError:
        raise _taken(target) from None
    except OSError as error:
        raise InputProblem(where=str(target), found=f"no way to write there ({error.strerror})",
                           would_do="a folder that may be written") from None


def _taken(target: Path) -> InputProblem:
    return InputProblem(where=str(target), found="a file that is there already",
                        would_do="the name of a new file (--out NEW.toml)")


def _told(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    return tuple(f for f in findings if f.grade is not Grade.CLEAR)


def _keys(findings: tuple[Finding, ...]) -> set[tuple[str, str]]:
    return {key for finding in _told(findings) for key in finding.keys}
