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
    done = subprocess.run([sys.executable, "-m", job_process.__name__],
                          input="".join(f"{json.dumps(order)}\n" for order in orders),
                          capture_output=True, text=True, check=False)
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    assert answers[0] == {"ready": True}
    bad, *_, last = [answer for answer in answers if answer.get("ended")]
    assert bad["status"] == 2
    assert "none.toml" in bad["says"]
    # The input has ended while the last job was made: nobody waits for it any more.
    assert last is bad or last["status"] == 0
    assert (tmp_path / "out").exists() == (last["status"] == 0 and last is not bad)
    assert not [path for path in tmp_path.iterdir() if path.name.startswith(".")]
