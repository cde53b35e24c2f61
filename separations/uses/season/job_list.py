"""Which jobs a call of many means: job files, folders of them, and lists."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from preflight.files.output_list import has_list
from preflight.files.regular_files import bytes_of
from preflight.input_problem import InputProblem

_MOST_BYTES = 4_000_000
_ASKED = "a job file (.toml), a folder of job files, or a list of them (.txt, one a line)"


@dataclass(frozen=True, slots=True)
class ListedJob:
    """A job file, and the folder that its output goes to."""

    job: Path
    out: Path


def listed_jobs(given: Sequence[Path], out: Path | None = None) -> tuple[ListedJob, ...]:
    """The jobs that are meant, each once, in the order told; those of a folder by name.

    Parameters
    ----------
    given : sequence of Path
        Job files, folders (searched through, but for outputs and hidden folders) and lists.
    out : Path, optional
        Where the outputs go; else each lies beside its job.

    Raises
    ------
    InputProblem
        When a path is none of these, nothing is found, or two jobs would write to one folder.
    """
    jobs = list(dict.fromkeys(path for one in given for path in _jobs_of(one)))
    if not jobs:
        raise InputProblem(where=", ".join(map(str, given)), found="no job file", would_do=_ASKED)
    listed = tuple(ListedJob(job, (out or job.parent) / f"{job.stem}-out") for job in jobs)
    taken: dict[Path, Path] = {}
    for one in listed:
        place = one.out.absolute()
        if place in taken:
            raise InputProblem(
                where=str(one.job), found=f"an output folder, {one.out}, that is also "
                f"that of {taken[place]}", would_do="job files of different names")
        taken[place] = one.job
    return listed


def is_one_job(given: Sequence[Path]) -> bool:
    """Whether just one job file is told, and no folder and no list."""
    return len(given) == 1 and not given[0].is_dir() and given[0].suffix.lower() != ".txt"


def _jobs_of(path: Path) -> Iterator[Path]:
    if path.is_dir():
        yield from _jobs_in(path)
    elif path.suffix.lower() == ".txt":
        text = bytes_of(path, _MOST_BYTES, would_do=_ASKED).decode("utf-8", "replace")
        for line in text.splitlines():
            name = line.partition("#")[0].strip()
            if name:
                yield path.parent / name
    elif path.suffix.lower() == ".toml":
        yield path
    else:
        raise InputProblem(where=str(path), found="neither a job file, a folder nor a list",
                           would_do=_ASKED)


def _jobs_in(folder: Path) -> Iterator[Path]:
    """Job files in a folder and below, by name; outputs and hidden folders are left out."""
    for path in sorted(folder.iterdir()):
        if path.name.startswith(".") or path.is_symlink():
            continue
        if path.is_dir() and not has_list(path):
            yield from _jobs_in(path)
        elif path.suffix.lower() == ".toml" and _may_be_a_job(path):
            yield path


def _may_be_a_job(path: Path) -> bool:
    """Whether it is no other kind of topsheet's files; one that cannot be read is told later."""
    try:
        table = tomllib.loads(bytes_of(path, _MOST_BYTES, would_do=_ASKED).decode("utf-8"))
    except (InputProblem, ValueError):
        return True
    return "board" in table or "art" in table
