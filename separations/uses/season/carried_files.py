"""A job's files carried by content to where no folder is shared, and its output brought back."""

from __future__ import annotations

import hashlib
from pathlib import Path

from preflight.files.output_list import LIST_NAME
from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_revision import named_files
from separations.pipeline.job_folder import job_folder
from separations.stock.shelf import stock_files


def carried_files(job: Job) -> dict[str, Path]:
    """The job file and all that it names, by their names in its folder.

    Files that are not there are left out: whoever makes the job says so.

    Raises
    ------
    InputProblem
        When one lies outside the job's folder.
    """
    folder = job.path.parent
    found: dict[str, Path] = {}
    for path in {job.path, *named_files(job), *stock_files(job)}:
        name = path.relative_to(folder).as_posix() if path.is_relative_to(folder) else ".."
        if ".." in name.split("/"):
            raise InputProblem(
                where=str(job.path), found=f"'{path}', a file outside the job's folder, which is "
                "not sent", would_do="a folder that is shared with the workers")
        if path.is_file():
            found[name] = path
    return found


def digest_of(path: Path) -> str:
    """The SHA-256 of a file."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def write_output(job: Job, out: Path, output: dict[str, bytes]) -> None:
    """Write an output that was brought back, whole or not at all.

    Raises
    ------
    InputProblem
        As `separations.pipeline.job_folder.job_folder`.
    """
    with job_folder(job, out) as folder:
        for name, content in output.items():
            if name != LIST_NAME:  # written anew for the folder
                place = folder / name
                place.parent.mkdir(parents=True, exist_ok=True)
                place.write_bytes(content)
