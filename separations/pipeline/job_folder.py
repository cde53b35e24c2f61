"""The folder that a job's output goes to: never one that holds what the job is made from."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path

from preflight.files.output_places import resolved, settled
from preflight.files.whole_files import whole_folder
from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_revision import named_files
from separations.stock.shelf import stock_files


@contextlib.contextmanager
def job_folder(job: Job, out: Path) -> Iterator[Path]:
    """Give a fresh folder for a job's output, as `preflight.files.whole_files.whole_folder` does.

    Raises
    ------
    InputProblem
        As `whole_folder`; or when ``out`` holds the job file or a file that it names.
    """
    keep_clear_of_inputs(job, out)
    with whole_folder(out) as folder:
        yield folder


def keep_clear_of_inputs(job: Job, out: Path) -> None:
    """Refuse an output folder that holds a job file or a file that it names.

    Raises
    ------
    InputProblem
        As told.
    """
    folder = settled(out)
    if not folder.exists():
        return
    for path in (job.path, *named_files(job), *stock_files(job)):
        # The folder's own name may be written in other ways: disks differ in what they tell apart.
        if any(holder.samefile(folder) for holder in resolved(path).parents):
            raise InputProblem(where=str(out), found=f"the folder that holds {path.name}, which "
                               "the job is made from", would_do="another output folder")
