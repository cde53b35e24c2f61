"""Two thousand jobs through one scheduler: nobody's memory grows with their number.

``pytest tests/faults/test_many_orders.py -m long -s`` tells what each process held and worked.
"""

from __future__ import annotations

import json
import time
from pathlib import Path
from threading import Thread

import numpy as np
import psutil
import pytest

from tests.dask_processes import DaskProcesses, with_dask
from tests.season_jobs import write_tiny_jobs

JOBS = 2_000
#: By so much may what a process holds rise from the second quarter to the last one (MiB); the
#: driver also keeps each job's result, to tell of all at the end.
MOST_GROWTH_MIB = {"scheduler": 12.0, "worker": 25.0, "driver": 25.0}


class Watched:
    """What processes hold, looked at twice a second."""

    def __init__(self, **processes: int) -> None:
        self.held: dict[str, list[float]] = {name: [] for name in processes}
        self.core_s = dict.fromkeys(processes, 0.0)
        self._processes = {name: psutil.Process(pid) for name, pid in processes.items()}
        self._ended = False
        self._thread = Thread(target=self._look, daemon=True)
        self._thread.start()

    def _look(self) -> None:
        while not self._ended:
            for name, process in self._processes.items():
                try:
                    self.held[name].append(process.memory_info().rss / 2**20)
                    self.core_s[name] = sum(process.cpu_times()[:2])
                except psutil.Error:
                    continue
            time.sleep(0.5)

    def end(self) -> None:
        """Look no more."""
        self._ended = True
        self._thread.join()

    def quarters(self, name: str) -> list[float]:
        """The median of each quarter of the time (MiB)."""
        return [float(np.median(part)) for part in np.array_split(self.held[name], 4)]


@with_dask
@pytest.mark.long
@pytest.mark.parametrize("of_them_one_made", [25, 1])
def test_memory_stays_level(tmp_path: Path, of_them_one_made: int) -> None:
    """Of 25 orders a worker refuses 24 at once, for what lies in their outputs' folders.

    With 1 all are made, in some 40 core minutes.
    """
    folder = tmp_path / "winter"
    jobs = write_tiny_jobs(folder, JOBS)
    for number, job in enumerate(jobs):
        if number % of_them_one_made:
            other = folder / f"{job.stem}-out" / "other.txt"
            other.parent.mkdir()
            other.write_text("somebody's", encoding="utf-8")
    dask = DaskProcesses(tmp_path)
    try:
        worker = dask.worker()
        told = tmp_path / "told.jsonl"
        with told.open("w", encoding="utf-8") as file:
            driver = dask.run(folder, "--json", stdout=file)
            watched = Watched(scheduler=dask.processes[0].pid, worker=worker.pid,
                              driver=driver.pid)
            _, err = driver.communicate()
        watched.end()
    finally:
        dask.end()
    states = [json.loads(line)["state"] for line in told.read_text(encoding="utf-8").splitlines()]
    assert len(states) == JOBS, err
    assert states.count("made") == -(-JOBS // of_them_one_made)
    for name, most in MOST_GROWTH_MIB.items():
        quarters = watched.quarters(name)
        print(f"{name}: {', '.join(f'{held:.0f}' for held in quarters)} MiB in each quarter of the "
              f"time, {watched.core_s[name]:.0f} core s")
        assert quarters[3] - quarters[1] < most, (name, quarters)
