"""A job mended into a new file, read again and checked again."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass
from pathlib import Path

from preflight.findings import Finding, Grade
from preflight.input_problem import InputProblem
from preflight.mends.mend import Mend
from preflight.mends.mended_text import mended_text
from preflight.mends.proposals import proposed_mends
from separations.prepress import check_job


@dataclass(frozen=True, slots=True, kw_only=True)
class MendedJob:
    """What was mended, and what the checks said before and after.

    Attributes
    ----------
    mends : tuple of Mend
        Empty when there was nothing to mend by machine; then nothing was written.
    before, after : tuple of Finding
        All findings of the job as it was and of the new one; ``after`` None without mends.
    """

    mends: tuple[Mend, ...]
    before: tuple[Finding, ...]
    after: tuple[Finding, ...] | None

    @property
    def gone(self) -> tuple[Finding, ...]:
        """What was not in order before and is now."""
        now = {_key(f) for f in _told(self.after or ())}
        return tuple(f for f in _told(self.before) if _key(f) not in now)

    @property
    def staying(self) -> tuple[Finding, ...]:
        """What was not in order before and still is not, as the new job's checks tell it."""
        was = {_key(f) for f in _told(self.before)}
        return tuple(f for f in _told(self.after or ()) if _key(f) in was)

    @property
    def fresh(self) -> tuple[Finding, ...]:
        """What was in order before and is not now."""
        was = {_key(f) for f in _told(self.before)}
        return tuple(f for f in _told(self.after or ()) if _key(f) not in was)


def mend_job(job_path: Path, target: Path) -> MendedJob:
    """Write a new job file with the mends that are safe to make by machine.

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
    outcome = check_job(job_path)
    mends = proposed_mends(outcome.submission)
    if not mends:
        return MendedJob(mends=(), before=outcome.findings, after=None)
    text = mended_text(job_path.read_text(encoding="utf-8-sig"), mends, job_path.name)
    _write_new(target, text)
    try:
        after = check_job(target).findings
    except BaseException:
        target.unlink(missing_ok=True)
        raise
    return MendedJob(mends=mends, before=outcome.findings, after=after)


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


def _key(finding: Finding) -> tuple[str, str]:
    return finding.check, finding.subject
