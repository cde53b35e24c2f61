"""Many jobs in one call against as many calls, and two workers of a cluster against one.

``pytest tests/benchmarks/bench_season.py -s`` (``TOPSHEET_JOBS=8`` for fewer than 40). What is
compared is measured in turns, so that a machine that grows slower or faster meanwhile does not
enter: half of one way, all of the other, the other half of the first. Core seconds are the
processes' own counts.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from threading import Event, Thread

import psutil
import pytest

from separations.runtime.parallel_rows import processors
from tests.dask_processes import DaskProcesses, with_dask
from tests.season_jobs import digests, write_tiny_jobs
from tests.small_art import write_small_job

JOBS = int(os.environ.get("TOPSHEET_JOBS", "40"))
_PROGRAM = [sys.executable, "-c", "from separations.command_line import main; main()", "run"]
pytestmark = pytest.mark.benchmark


@dataclass(frozen=True, slots=True)
class Took:
    """Wall time and core seconds (s), and the most that all processes held at once (MiB)."""

    wall: float
    core: float
    peak_mib: float

    def __add__(self, other: Took) -> Took:
        return Took(self.wall + other.wall, self.core + other.core,
                    max(self.peak_mib, other.peak_mib))

    def __str__(self) -> str:
        return f"{self.wall:.1f} s, {self.core:.1f} core s, {self.peak_mib:.0f} MiB at most"


class _Memory(Thread):
    """Looks at what all processes below this one hold, pages that they share counted once."""

    def __init__(self) -> None:
        super().__init__(daemon=True)
        self.peak, self._end = 0, Event()

    def run(self) -> None:
        while not self._end.wait(0.25):
            held = 0
            for process in psutil.Process().children(recursive=True):
                with suppress(psutil.Error):
                    held += process.memory_full_info().pss
            self.peak = max(self.peak, held)

    def end(self) -> float:
        self._end.set()
        self.join()
        return self.peak / 2**20


def _measured(*calls: Sequence[object]) -> Took:
    """Make calls one after another."""
    memory = _Memory()
    memory.start()
    before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.monotonic()
    for words in calls:
        subprocess.run([*_PROGRAM, *map(str, words)], check=True, stdout=subprocess.DEVNULL,
                       stderr=subprocess.DEVNULL)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return Took(time.monotonic() - began,
                after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, memory.end())


def _mixed_jobs(folder: Path, count: int) -> list[Path]:
    """Of four jobs three have one ink on a board of 24 cm, the fourth four inks at 600 dpi.

    One in twenty has four inks at 1440 dpi.
    """
    jobs = write_tiny_jobs(folder, count - count // 4)
    for number in range(count // 4):
        finer = (('"600 dpi"', '"1440 dpi"'),) if number % 5 == 4 else ()
        jobs.append(write_small_job(folder, *finer).rename(folder / f"larger-{number:02}.toml"))
    return [*jobs[0::2], *jobs[1::2]]  # both halves alike


def _outputs(folder: Path) -> dict[str, str]:
    return {name: digest for name, digest in digests(folder).items()
            if not name.startswith("overview/")}


def test_one_call_for_all_against_as_many_calls(tmp_path: Path) -> None:
    jobs = _mixed_jobs(tmp_path / "winter", JOBS)
    half, one, many = len(jobs) // 2, tmp_path / "one", tmp_path / "many"

    def each(some: list[Path]) -> Took:
        return _measured(*([job, "--out", many / f"{job.stem}-out"] for job in some))

    _measured([jobs[0], "--out", tmp_path / "first"])  # compiled code is read from the disk after
    first = each(jobs[:half])
    together = _measured([*jobs, "--out", one])
    apart = first + each(jobs[half:])
    print(f"\n{JOBS} jobs on {processors()} processors: one call {together}; {JOBS} calls {apart}: "
          f"{apart.wall / together.wall:.2f} times as long, "
          f"{apart.core / together.core:.2f} times the core seconds")
    assert _outputs(one) == _outputs(many)
    assert together.core < apart.core


@contextmanager
def _on_core(number: int) -> Iterator[None]:
    """What is begun in the block keeps to one core."""
    allowed = os.sched_getaffinity(0)
    os.sched_setaffinity(0, {sorted(allowed)[number]})
    try:
        yield
    finally:
        os.sched_setaffinity(0, allowed)


@with_dask
def test_two_workers_against_one(tmp_path: Path) -> None:
    """Each on a core of its own; scheduler and call take what the system gives them."""
    jobs = _mixed_jobs(tmp_path / "winter", max(4, 2 * JOBS // 5))
    half, dask = len(jobs) // 2, DaskProcesses(tmp_path)

    def made(some: list[Path], name: str) -> Took:
        return _measured([*some, "--out", tmp_path / name, "--cluster", dask.address])

    def begin_worker(number: int) -> subprocess.Popen[bytes]:
        with _on_core(number):
            worker = dask.worker()
        made(jobs[:4], f"warm-{number}")  # it has loaded its libraries
        return worker

    try:
        begin_worker(0)
        first = made(jobs[:half], "one")
        second = begin_worker(1)
        both = made(jobs, "two")
        second.kill()
        second.wait()
        one = first + made(jobs[half:], "one")
    finally:
        dask.end()
    print(f"\n{len(jobs)} jobs on a cluster: one worker {one.wall:.1f} s, two {both.wall:.1f} s: "
          f"{one.wall / both.wall:.2f} times as fast; all processes held {both.peak_mib:.0f} MiB "
          "at most")
    here = tmp_path / "here"
    _measured([*jobs, "--out", here])
    assert _outputs(tmp_path / "one") == _outputs(tmp_path / "two") == _outputs(here)
