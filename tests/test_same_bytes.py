"""Same job, same bytes: every file of every command that writes, wherever and however it runs."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from preflight.files.output_places import is_no_name_on_windows

ROOT = Path(__file__).parent.parent
#: Hash seed, locale, time zone, and what else.
WAYS = {"here": ({"PYTHONHASHSEED": "1", "LC_ALL": "C", "TZ": "UTC"}, ["one-core"]),
        "over there/wieder hier é": (
            {"PYTHONHASHSEED": "77", "LC_ALL": "C.UTF-8", "TZ": "Asia/Kolkata",
             "PYTHONUTF8": "1", "COLUMNS": "40"}, [])}


@pytest.mark.long
def test_same_job_same_bytes(tmp_path: Path) -> None:
    """Two processes that differ in all that must not matter: also in their number of processors."""
    made: list[dict[str, str]] = []
    for place, (settings, words) in WAYS.items():
        done = subprocess.run(
            [sys.executable, "-m", "tests.every_output", str(tmp_path / place), *words], cwd=ROOT,
            env={**os.environ, **settings}, capture_output=True, text=True, check=False,
            encoding="utf-8")
        assert done.returncode == 0, done.stderr[-3000:]
        made.append(json.loads(done.stdout.splitlines()[-1]))
    one, other = made
    assert one.keys() == other.keys()
    assert len(one) > 70
    assert [name for name in one if one[name] != other[name]] == []
    folders = {name.split("/")[1] for name in one if name.startswith("out/")}
    assert folders == {"new", "proof", "films", "ink", "run", "outline", "day", "gang", "inks",
                       "wedge", "press"}
    parts = {part for name in one for part in name.split("/")}
    assert not any(map(is_no_name_on_windows, parts))
    assert len({name.casefold() for name in one}) == len(one)
