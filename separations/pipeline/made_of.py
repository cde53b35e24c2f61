"""What an output was made from: how a later run knows that it need not be made again."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from preflight.files.file_contents import FileContents
from preflight.files.output_list import is_as_written
from preflight.job_file.job import Job
from preflight.job_file.job_revision import named_files
from separations.runtime.own_code import own_version
from separations.stock.shelf import stock_files

FILE_NAME = "made-of.json"
FORMAT = 1


def made_of(job: Job, contents: FileContents, *, despite_stops: bool = False) -> dict[str, Any]:
    """What decides a run's output: the job file and all that it names, by what they hold.

    Parameters
    ----------
    job : Job
        The job, read from its file.
    contents : FileContents
        Knows files by what they hold.
    despite_stops : bool
        Whether films were to be made although a finding says stop.

    Returns
    -------
    dict
        Plain values: topsheet's version and code, and each file with its digest; no folder of this
        machine is in it, so that a folder of jobs may be moved with its outputs.
    """
    beside = job.path.parent
    files = {_told(path, beside): contents.digest(path)
             for path in sorted({job.path, *named_files(job), *stock_files(job)})}
    return {"format": FORMAT, "topsheet": own_version(),
            "despite_stops": despite_stops,
            "files": [{"file": name, "digest": digest} for name, digest in files.items()]}


def write_made_of(folder: Path, told: dict[str, Any]) -> None:
    """Write it into an output folder."""
    (folder / FILE_NAME).write_text(json.dumps(told, indent=1, ensure_ascii=False) + "\n",
                                    encoding="utf-8", newline="\n")


def is_made_of(folder: Path, told: dict[str, Any]) -> bool:
    """Whether a folder is a whole run's output made of just this, and is as it was written."""
    try:
        found = json.loads((folder / FILE_NAME).read_text(encoding="utf-8"))
        return found == told and is_as_written(folder)
    except (OSError, ValueError):
        return False


def _told(path: Path, beside: Path) -> str:
    return path.relative_to(beside).as_posix() if path.is_relative_to(beside) else path.name
