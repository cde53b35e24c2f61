"""What a worker of a cluster does for jobs: tell of itself, keep files by content, make a job.

Each is called by name, from a function that is sent whole, so that a worker without topsheet can
say so. Values are plain.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import tempfile
import threading
from functools import cache
from pathlib import Path
from typing import Any

from separations.commands.job_order import made_by_order, tidy_up
from separations.runtime.compiled_code import find_place_for_compiled_code
from separations.runtime.free_memory import return_large_blocks
from separations.runtime.interpreter import settle_interpreter
from separations.runtime.own_code import own_version

_ONE_AT_A_TIME = threading.Lock()


def tell_facts(jobs: dict[str, str], probes: list[str]) -> dict[str, Any]:
    """Which topsheet this is, and whether the jobs' folders are shared.

    Parameters
    ----------
    jobs : dict
        The SHA-256 of a job file of each folder by its path.
    probes : list of str
        Folders made for this question in those of the outputs.
    """
    try:
        shared = all(hashlib.sha256(Path(path).read_bytes()).hexdigest() == digest
                     for path, digest in jobs.items()) and all(
            Path(path).is_dir() for path in probes)
    except OSError:
        shared = False
    return {"version": own_version(), "shared": shared}


def lacking_files(digests: list[str]) -> list[str]:
    """Those files, by their SHA-256, that this worker does not keep."""
    return [digest for digest in digests if not (_kept() / digest).is_file()]


def keep_files(contents: dict[str, bytes]) -> None:
    """Keep files by their SHA-256, for as long as the worker lives."""
    for digest, content in contents.items():
        if hashlib.sha256(content).hexdigest() == digest:
            part = _kept() / f"{digest}.{os.getpid()}.part"
            part.write_bytes(content)
            part.replace(_kept() / digest)


def make_in_place(order: dict[str, Any]) -> dict[str, Any]:
    """Make a job of a shared folder; see `separations.commands.job_order.made_by_order`."""
    with _ONE_AT_A_TIME:
        _settle()
        told = made_by_order(order)
        tidy_up()
        return told


def make_of_kept(order: dict[str, Any]) -> dict[str, Any]:
    """Make a job of files that this worker keeps.

    Parameters
    ----------
    order : dict
        As of `separations.commands.job_order.made_by_order`; ``job`` is the job file's bare name,
        and ``files`` tells the SHA-256 of each file by its name in the job's folder.

    Returns
    -------
    dict
        As of `made_by_order`, and ``output``: each file's bytes by its name in the output. Places
        in a sentence are those that ``order["folder"]`` tells.
    """
    with _ONE_AT_A_TIME, tempfile.TemporaryDirectory(prefix="topsheet-job-") as scratch:
        _settle()
        folder = Path(scratch) / "job"
        folder.mkdir()
        for name, digest in order["files"].items():
            place = folder / name
            if not place.resolve().is_relative_to(folder.resolve()):
                raise ValueError(name)
            place.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(_kept() / digest, place)
        out = Path(scratch) / "out"
        told = made_by_order({**order, "job": folder / order["job"], "out": out})
        told["says"] = told["says"].replace(str(folder), order["folder"])
        told["output"] = {path.relative_to(out).as_posix(): path.read_bytes()
                          for path in sorted(out.rglob("*")) if path.is_file()}
        tidy_up()
        return told


@cache
def _settle() -> None:
    find_place_for_compiled_code()
    return_large_blocks()
    settle_interpreter()


@cache
def _folder_of_kept() -> tempfile.TemporaryDirectory[str]:
    return tempfile.TemporaryDirectory(prefix="topsheet-files-")


def _kept() -> Path:
    return Path(_folder_of_kept().name)
