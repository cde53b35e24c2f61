"""A job mended into a new file, read again and checked again."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path

from preflight.checks.catalogue import CHECKS
from preflight.facts.submission import Submission
from preflight.files.output_places import resolved
from preflight.files.whole_texts import write_text
from preflight.findings import Finding, Grade, listed
from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_reader import job_of_text
from preflight.mends.mend import KeyPath, Mend, Shunned, Written, owner_told, told_value
from preflight.mends.mended_text import mended_text
from preflight.mends.proposals import proposed_mends
from preflight.mends.raised_cares import changed_by, to_blame
from separations.pipeline.calls import checked, quick_session
from separations.pipeline.fact_stages import QUICK_FINDINGS, QUICK_SUBMISSION
from separations.pipeline.session import Session
from separations.report.outcome import Outcome

#: So often what raises cares is replaced by the next best, before it is left alone. Own choice.
_TRIES = 3
#: Findings that wait for slow facts: of the job as it was they are asked for only where needed.
_SLOW_IDS = frozenset(id_ for check in CHECKS if check.waits_for for id_ in check.ids.split())


@dataclass(frozen=True, slots=True, kw_only=True)
class MendedJob:
    """What was mended, and what the checks say now.

    Attributes
    ----------
    job : Job
        The job as it was.
    mends : tuple of Mend
        Empty when there was nothing to mend by machine; then nothing was written.
    findings : tuple of Finding
        Of the new job, or where nothing was mended of the job as it was.
    left_alone : tuple of str
        Angles and rulings that are as they were because mending them raises another care, each
        a sentence.
    """

    job: Job
    mends: tuple[Mend, ...]
    findings: tuple[Finding, ...]
    left_alone: tuple[str, ...] = ()


def mend_job(job_path: Path, target: Path) -> MendedJob:
    """Write a new job file with the mends that are safe to make by machine.

    What needs no long measuring is mended first and the new job is checked; then what that check
    found is mended, and checked again. Angles and rulings that raise a care or a stop that was
    not there are replaced by the next best, a few times, and then left alone; a ruling that takes
    a stop away may raise a care.

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
    mending = _Mending(quick_session(job_path), job_path.read_text(encoding="utf-8-sig"), target,
                       former=job_path.name)
    mending.mend()
    if mending.mends:
        _write_new(target, mending.text)
    return MendedJob(job=mending.session.job, mends=mending.mends, findings=mending.now.findings,
                     left_alone=mending.tried.left_alone(mending.mends))


class _Mending:
    """A job's text on its way to a better one."""

    def __init__(self, session: Session, text: str, target: Path, *, former: str) -> None:
        self.session, self.text, self._target, self._former = session, text, target, former
        self._own_text, self._before = text, session.of(QUICK_FINDINGS).findings
        self.mends: tuple[Mend, ...] = ()
        self.tried = _Tried(job=session.job)
        self._now: Outcome | None = None

    @property
    def now(self) -> Outcome:
        """The job as mended so far, checked."""
        if self._now is None:
            self._now = checked(self._session_of(self.text) if self.mends else self.session)
        return self._now

    def mend(self) -> None:
        """At first by what is known at once, then by what the first check found, then no more."""
        self._mend_by(self.session.of(QUICK_SUBMISSION))
        self._mend_by(self.now.submission)

    def _mend_by(self, submission: Submission) -> None:
        """Make what is proposed, without what is to blame for a raised care."""
        earlier, was = self.mends, (self.text, self._now)
        while more := proposed_mends(submission, self.tried.shunned):
            self.mends = _joined(earlier, more)
            self.text = mended_text(self._own_text, self.mends, self._former)
            self._now = None
            blamed = self._blamed(more)
            if not blamed:
                return
            self.tried.add(more, blamed)
        self.mends, (self.text, self._now) = earlier, was

    def _blamed(self, mends: tuple[Mend, ...]) -> list[tuple[Mend, Finding]]:
        after = self.now.findings
        quick = tuple(f for f in after if f.id not in _SLOW_IDS)
        blamed = to_blame(self.session.job, mends, self._before, quick)
        turned = {name for mend in mends for name in changed_by(self.session.job, mend)}
        if any(f.grade in (Grade.STOP, Grade.CARE) and turned.intersection(f.subjects)
               for f in after if f.id in _SLOW_IDS):
            was = checked(self.session).findings  # whether it was there before, too
            blamed = to_blame(self.session.job, mends, was, after)
        return blamed

    def _session_of(self, text: str) -> Session:
        return self.session.changed(job_of_text(text, self._target))


def _joined(earlier: tuple[Mend, ...], more: tuple[Mend, ...]) -> tuple[Mend, ...]:
    """All mends, a later one of a key in place of an earlier, with what stood there at first."""
    told = {mend.key_path: mend for mend in earlier}
    for mend in more:
        first = told.get(mend.key_path)
        told[mend.key_path] = mend if first is None else replace(mend, before=first.before)
    return tuple(told.values())


@dataclass(slots=True, kw_only=True)
class _Tried:
    """Sets of mends that raised a care, and what is not to be proposed again for it."""

    job: Job
    times: int = 0
    shunned: Shunned = field(default_factory=Shunned)
    raised: dict[KeyPath, Finding] = field(default_factory=dict)

    def add(self, mends: tuple[Mend, ...], blamed: list[tuple[Mend, Finding]]) -> None:
        """Shun the values that are to blame; in the end their keys, and then all of their kind."""
        self.times += 1
        values: dict[KeyPath, tuple[Written, ...]] = dict(self.shunned.values)
        for mend, finding in blamed:
            values[mend.key_path] = (*values.get(mend.key_path, ()), mend.after)
            self.raised.setdefault(mend.key_path, finding)
        keys = set(self.shunned.keys)
        if self.times >= _TRIES:
            keys |= {mend.key_path for mend, _ in blamed}
        if self.times > _TRIES:
            keys |= {mend.key_path for mend in mends if mend.key_path[-1] in ("angle", "ruling")}
        self.shunned = Shunned(values=values, keys=frozenset(keys))

    def left_alone(self, mends: tuple[Mend, ...]) -> tuple[str, ...]:
        """What was tried in vain, each with the values tried and a care that the first raised."""
        made = {mend.key_path for mend in mends}
        return tuple(self._told(key) for key in self.raised if key not in made)

    def _told(self, key: KeyPath) -> str:
        owner = owner_told(self.job, key)
        tried = listed([told_value(value).strip('"') for value in self.shunned.values[key]])
        finding = self.raised[key]
        return (f"{key[-1]}{f' of {owner}' if owner else ''} stays: {tried} would raise a "
                f"care ({finding.check}, {finding.subject})")


def _check_target(job_path: Path, target: Path) -> None:
    if resolved(target.parent) != resolved(job_path.parent):
        raise InputProblem(where=str(target), found="a folder other than the job's",
                           would_do=f"a name in {job_path.parent}, where the art is,")
    if target.exists() or target.is_symlink():
        raise _taken(target)


def _write_new(target: Path, text: str) -> None:
    """Write a file that must not exist yet."""
    try:
        write_text(target, text.encode("utf-8"), new=True)
    except FileExistsError:
        raise _taken(target) from None


def _taken(target: Path) -> InputProblem:
    return InputProblem(where=str(target), found="a file that is there already",
                        would_do="the name of a new file (--out NEW.toml)")
