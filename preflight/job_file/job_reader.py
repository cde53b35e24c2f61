"""A job file (TOML) read once into a `Job`."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from preflight.job_file.job import Job
from preflight.job_file.job_consistency import check_consistency
from preflight.job_file.typed_toml import read_typed_toml


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
    job = replace(read_typed_toml(path, Job, what="a job file", first_line='title = "Estuary"',
                                  not_keys=("path",)), path=path)
    check_consistency(job)
    return job
