"""Files that a job file names: only those in its own folder, unless more is allowed.

A job file may come from a stranger; it should not make the tool read, and print on a film, what
lies elsewhere on this machine.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from contextvars import ContextVar
from pathlib import Path

from preflight.input_problem import InputProblem

_OUTSIDE_ALLOWED: ContextVar[bool] = ContextVar("files outside a job's folder", default=False)


@contextlib.contextmanager
def files_outside_allowed() -> Iterator[None]:
    """Job files that are read within the block may name files anywhere on this machine."""
    before = _OUTSIDE_ALLOWED.set(True)
    try:
        yield
    finally:
        _OUTSIDE_ALLOWED.reset(before)


def is_outside_allowed() -> bool:
    """Whether a job file that is read now may name files anywhere."""
    return _OUTSIDE_ALLOWED.get()


def path_within(job_path: Path, name: str, *, outside: bool) -> Path:
    """Where a named file lies, seen from its job file.

    Parameters
    ----------
    job_path : Path
        The job file.
    name : str
        The file's name, relative to the job's folder.
    outside : bool
        Whether it may lie outside that folder.

    Raises
    ------
    InputProblem
        When the file, links followed, lies outside the job's folder and that is not allowed.
    """
    path = job_path.parent / name
    try:
        inside = path.resolve().is_relative_to(job_path.parent.resolve())
    except (OSError, RuntimeError, ValueError):  # links that lead back to themselves
        raise InputProblem(where=str(job_path), found=f"the file '{name}', which cannot be found",
                           would_do="a file in the job's folder") from None
    if not inside and not outside:
        raise InputProblem(where=str(job_path), found=f"'{name}', a file outside the job's folder",
                           would_do="a file in that folder, or the option --allow-outside,")
    return path
