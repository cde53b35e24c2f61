"""Nothing that only POSIX systems have is needed to start or to work.

It shows what topsheet itself asks of the system, on Linux; it is no run on Windows.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.small_art import write_small_job

ROOT = Path(__file__).parents[2]
LEAST_JOB = (('"600 dpi"', '"200 dpi"'), ('"45 lpi"', '"14 lpi"'))


def contents(folder: Path) -> dict[str, str]:
    return {path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
            for path in sorted(folder.rglob("*")) if path.is_file()}


@pytest.mark.long
def test_a_job_is_begun_checked_and_run_without_posix(tmp_path: Path) -> None:
    job = write_small_job(tmp_path / "job", *LEAST_JOB)
    (tmp_path / "temporary").mkdir()
    places = {**os.environ, "TMPDIR": str(tmp_path / "temporary")}
    without, within = (subprocess.run(
        list(map(str, words)), cwd=ROOT, env=places, capture_output=True, text=True, check=False)
        for words in (
        [sys.executable, "-m", "tests.faults.without_posix", tmp_path],
        [sys.executable, "-c", "from separations.command_line import main; main()", "run", job,
         "--despite-stops", "--out", tmp_path / "as ever"]))
    assert without.returncode == 0, without.stderr
    assert within.returncode == 0, within.stderr
    assert contents(tmp_path / "out") == contents(tmp_path / "as ever")
    assert "fen_lane_158.toml" in contents(tmp_path / "mine")
    assert sorted(p.name for p in tmp_path.iterdir()) == [
        "as ever", "job", "mine", "out", "temporary"]
    assert not contents(tmp_path / "temporary"), "locks that are left"
