"""After a kill, a signal, a full or read-only disk: the former output or the new one, whole.

A few moments of each kind; ``TOPSHEET_MOMENTS=240 pytest -s tests/faults`` tries as many and tells
what was found.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.faults.stopped_runs import COMMANDS

ROOT = Path(__file__).parents[2]
ASKED = "TOPSHEET_MOMENTS" in os.environ
MOMENTS = int(os.environ.get("TOPSHEET_MOMENTS", "2"))


def found_after(way: str, count: int) -> dict[str, Any]:
    done = subprocess.run([sys.executable, "-m", "tests.faults.stopped_runs", way, str(count)],
                          cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    result: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    if ASKED:
        print(way, result)  # noqa: T201  (asked for)
    return result


@pytest.mark.parametrize("way", [
    "step", pytest.param("step-without-exchange", marks=pytest.mark.long)])
def test_a_kill_at_every_step_of_the_writer(way: str) -> None:
    result = found_after(way, 1000)
    assert set(result["found"]) == {"former", "new"}
    assert result["moments"] > 40


@pytest.mark.long
@pytest.mark.parametrize("way", ["kill", "term"])
def test_a_signal_at_any_moment(way: str) -> None:
    result = found_after(way, MOMENTS)
    assert set(result["found"]) <= {"former", "new", "former before the signal",
                                    "new before the signal"}
    assert result["moments"] == MOMENTS


@pytest.mark.long
@pytest.mark.parametrize("command", COMMANDS)
def test_a_kill_at_any_moment_of_each_command_that_writes(command: str) -> None:
    result = found_after(f"kill-{command}", MOMENTS)
    assert set(result["found"]) <= {"former", "new", "former before the signal",
                                    "new before the signal"}
    assert result["moments"] == MOMENTS


@pytest.mark.skipif(not ASKED, reason="takes long; asked for by TOPSHEET_MOMENTS")
@pytest.mark.parametrize("way", ["full", "filesize", "readonly"])
def test_a_disk_that_takes_no_more(way: str) -> None:
    result = found_after(way, MOMENTS)
    assert set(result["found"]) <= {"former", "new"}
    if way == "full" and not result["moments"]:
        pytest.skip("no disk can be mounted here")
    assert result["found"].get("former", 0) > MOMENTS / 2
