"""Many jobs in one call against as many calls, in turns: wall time and core seconds of each way.

``TOPSHEET_JOBS=40 pytest tests/benchmarks/bench_season.py -s``; the machine is looked at by its
processes' own counts of processor time, so that what else runs on it does not enter these.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import time
from pathlib import Path

import pytest

from separations.runtime.parallel_rows import processors
from tests.season_jobs import write_tiny_jobs
from tests.small_art import write_small_job

JOBS = int(os.environ.get("TOPSHEET_JOBS", "8"))
_PROGRAM = [sys.executable, "-c", "from separations.command_line import main; main()", "run"]
pytestmark = pytest.mark.benchmark


def _measured(*calls: list[str]) -> tuple[float, float]:
    """Wall time and core seconds of calls one after another (s)."""
    before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.monotonic()
    for words in calls:
        subprocess.run([*_PROGRAM, *words], check=True, stdout=subprocess.DEVNULL,
                       stderr=subprocess.DEVNULL)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return (time.monotonic() - began,
            after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)


def test_one_call_for_all_against_as_many_calls(tmp_path: Path) -> None:
    """Three of four jobs are tiny, one has four inks at 600 dpi."""
    folder = tmp_path / "winter"
    jobs = write_tiny_jobs(folder, JOBS - JOBS // 4)
    for number in range(JOBS // 4):
        jobs.append(write_small_job(folder).rename(folder / f"larger-{number:02}.toml"))
    told = []
    for turn in range(2):
        out = tmp_path / f"{turn}"
        one = _measured([str(folder), "--out", str(out / "one"), "--again"])
        many = _measured(*([str(job), "--out", str(out / "many" / job.stem)] for job in jobs))
        told.append((one, many))
        print(f"{JOBS} jobs, {processors()} processors: one call {one[0]:.1f} s, "
              f"{one[1]:.1f} core s; {JOBS} calls {many[0]:.1f} s, {many[1]:.1f} core s")
    assert all(one[1] < many[1] for one, many in told)
