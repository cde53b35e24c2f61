"""The process that makes jobs: one answer an order, and no end to it by a bad job."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

from separations.commands import job_process
from tests.season_jobs import write_tiny_jobs


def test_orders_are_answered_one_by_one_until_there_are_no_more(tmp_path: Path) -> None:
    (job,) = write_tiny_jobs(tmp_path / "job", 1)
    orders = [{"job": str(name), "out": str(tmp_path / "out"), "despite_stops": False,
               "outside": False} for name in (tmp_path / "none.toml", job)]
    with subprocess.Popen([sys.executable, "-m", job_process.__name__], stdin=subprocess.PIPE,
                          stdout=subprocess.PIPE, text=True) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        assert json.loads(process.stdout.readline()) == {"ready": True}
        ends = []
        for order in orders:
            process.stdin.write(f"{json.dumps(order)}\n")
            process.stdin.flush()
            ends.append(next(answer for answer in map(json.loads, process.stdout)
                             if answer.get("ended")))
        process.stdin.close()
        assert process.wait(timeout=60) == 0
    assert [end["status"] for end in ends] == [2, 0]
    assert "none.toml" in ends[0]["says"]
    assert (tmp_path / "out").is_dir()
    assert not [path for path in tmp_path.iterdir() if path.name.startswith(".")]
