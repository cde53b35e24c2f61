"""Calls for jobs on a cluster whose processes are killed, one after another, at chosen moments."""

from __future__ import annotations

import time
from pathlib import Path

from preflight.files.folder_locks import is_ownerless
from tests.dask_processes import DaskProcesses
from tests.faults.stopped_seasons import StoppedSeason

#: How long what is left at work may take, and a call (s): a machine may be busy with other things.
_PATIENCE_S = 600.0
_WORKERS = 3


class StoppedCluster:
    """A folder of jobs made over and over in two versions on a cluster of three workers.

    Parameters
    ----------
    place : Path
        An empty folder.
    count : int
        How many jobs.
    """

    def __init__(self, place: Path, count: int) -> None:
        self.dask = DaskProcesses(place)
        for _ in range(_WORKERS):
            self.dask.worker("--local-directory", str(place / "scratch"))
        self.season = StoppedSeason(place, count, "--cluster", self.dask.address)

    def killed(self, which: str, share: float, version: str) -> str:
        """What is wrong after one process was killed, or nothing.

        Parameters
        ----------
        which : str
            ``driver``, ``worker`` or ``scheduler``; the latter two are begun anew, and the call
            must go on to its end.
        share : float
            When: the share of a whole call's time.
        version : str
            ``a`` or ``b``: what the call is to make.
        """
        self.season.set_version(version)
        running = self.season.begun()
        time.sleep(share * self.season.seconds)
        if which == "driver":
            running.kill()
            running.wait()
        elif which == "worker":
            self._kill_worker()
        else:
            self._kill_scheduler()
        status = running.wait(_PATIENCE_S)
        self._wait_for_what_is_at_work()
        wrong = self.season.wrong_outputs()
        if wrong or which == "driver":
            return wrong
        if status != 0:
            return f"the call ended with status {status}"
        return ("" if self.season.outputs() == self.season.versions[version]
                else "the call did not make what it should")

    def _kill_worker(self) -> None:
        oldest = self.dask.processes.pop(1)
        oldest.kill()
        oldest.wait()
        self.dask.worker()

    def _kill_scheduler(self) -> None:
        self.dask.processes[0].kill()
        self.dask.begin_scheduler_again()
        for lost in self.dask.processes[1:]:  # a worker leaves when its scheduler does
            lost.terminate()
        for lost in self.dask.processes[1:]:
            lost.wait(_PATIENCE_S)
        del self.dask.processes[1:]
        for _ in range(_WORKERS):
            self.dask.worker()

    def _wait_for_what_is_at_work(self) -> None:
        """A worker goes on with what a call that was killed has begun."""
        give_up = time.monotonic() + _PATIENCE_S
        while time.monotonic() < give_up:
            if all(is_ownerless(path) for path in self.season.folder.glob(".*.unfinished")):
                return
            time.sleep(0.1)
        raise AssertionError("still at work")
