"""``topsheet run`` with many jobs: lines, JSON and status, and one bar over all."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from separations.commands.season_bar import bar_text
from separations.uses.season.season_run import SeasonProgress
from tests.season_jobs import write_tiny_jobs


def _run(place: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", "from separations.command_line import main; main()", "run", *words],
        cwd=place, capture_output=True, text=True, encoding="utf-8", check=False)


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder ``winter`` with a sound job and a bad one."""
    place = tmp_path_factory.mktemp("told")
    bad = write_tiny_jobs(place / "winter", 2)[1]
    bad.write_text(bad.read_text(encoding="utf-8").replace('"14 lpi"', '"14 lppi"'),
                   encoding="utf-8")
    return place


def test_jobs_are_told_as_they_end_and_left_the_next_time(place: Path) -> None:
    done = _run(place, "winter")
    assert done.returncode == 2
    lines = done.stdout.splitlines()
    assert any(line.startswith("made: winter/board-01-out (1 film, ") for line in lines)
    assert any(line.startswith("  care  ") for line in lines)
    assert any(line.startswith("not made: winter/board-02.toml: halftone.ruling: found '14 lppi'")
               for line in lines)
    assert "2 jobs: 1 made, 1 not made. Wrote winter/overview/overview.html" in lines
    assert (place / "winter" / "overview" / "jobs.csv").is_file()
    assert "can hurt you" in done.stdout
    assert done.stderr == ""

    again = _run(place, "winter/board-01.toml", "--json")
    assert again.returncode == 0
    (line,) = again.stdout.splitlines()
    assert json.loads(line)["state"] == "as before"
    assert again.stderr.startswith("1 job: 1 as before. Wrote ")


def test_what_is_no_job_is_one_sentence(place: Path) -> None:
    done = _run(place, "winter", "wintre")
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr == (
        "wintre: found neither a job file, a folder nor a list; a job file (.toml), a folder of "
        "job files, or a list of them (.txt, one a line) would do.\n")


def test_the_bar_tells_rate_and_time_left_from_what_was_made() -> None:
    at_first = SeasonProgress(ended=0, of=40, as_before=0, at_work=(0.0, 0.0))
    assert bar_text(at_first, 1.0) == f"[{'-' * 30}] 0 of 40 jobs"
    later = SeasonProgress(ended=19, of=40, as_before=10, at_work=(0.6, 0.4))
    assert bar_text(later, 120.0) == (
        f"[{'#' * 15}{'-' * 15}] 19 of 40 jobs, 5.0 a minute, 4 min left")
    assert bar_text(later, 12.0).endswith(", 50.0 a minute, 24 s left")
    assert bar_text(later, 12000.0).endswith(", 0.1 a minute, 6.7 h left")
