"""A job file (TOML) read once into a `Job`."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from preflight.job_file.job import NOT_KEYS, Job
from preflight.job_file.job_consistency import check_consistency
from preflight.job_file.named_paths import is_outside_allowed
from preflight.job_file.typed_toml import table_in, table_of, typed

_WHAT, _FIRST_LINE = "a job file", 'title = "Estuary"'


def read_job(path: Path) -> Job:
    """Read and check a job file.

    Parameters
    ----------
    path : Path
        The TOML file.

    Raises
    ------
    InputProblem
        When the file cannot be read, is not TOML, or any key is missing, misspelt, of the wrong
        kind, out of range, or at odds with another.
    """
    return _job_of(table_in(path, what=_WHAT, first_line=_FIRST_LINE), path)


def job_of_text(text: str, path: Path) -> Job:
    """Read and check a text that is to be a job file; faults as in `read_job`.

    Parameters
    ----------
    text : str
        TOML.
    path : Path
        Where the job file is to stand: its art is looked for beside it.
    """
    return _job_of(table_of(text, path, what=_WHAT, first_line=_FIRST_LINE), path)


def _job_of(table: dict[str, Any], path: Path) -> Job:
    job = replace(typed(table, path, Job, NOT_KEYS), path=path,
                  outside_allowed=is_outside_allowed())
    check_consistency(job)
    return job
