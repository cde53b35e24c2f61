"""A Dask scheduler and its workers, each a process of its own, and calls for many jobs on them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path
from typing import IO

import pytest

ROOT = Path(__file__).parents[1]
_DASK = Path(sys.executable).with_name("dask")
with_dask = pytest.mark.skipif(
    not _DASK.exists(), reason="Dask is not installed (pip install '.[cluster]')")
_PATIENCE_S = 60.0


class DaskProcesses:
    """A scheduler and workers, each a process of its own.

    Parameters
    ----------
    place : Path
        A folder for what they write.

    Attributes
    ----------
    address : str
        Of the scheduler; the same after it was begun once more.
    processes : list of Popen
        The scheduler, then the workers in the order in which they were begun.
    """

    def __init__(self, place: Path) -> None:
        self.place, self.file = place, place / "scheduler.json"
        self.address, self.processes = "", [self._scheduler("0")]
        self.address = self._told_address()

    def _scheduler(self, port: str) -> subprocess.Popen[bytes]:
        self.file.unlink(missing_ok=True)
        return self._start("scheduler", "--port", port, "--no-dashboard", "--host", "127.0.0.1")

    def _told_address(self) -> str:
        give_up = time.monotonic() + _PATIENCE_S
        while time.monotonic() < give_up:
            try:
                return str(json.loads(self.file.read_text(encoding="utf-8"))["address"])
            except (OSError, ValueError):
                time.sleep(0.1)
        raise AssertionError("no scheduler came")

    def _start(self, *words: str, path: Path | None = None) -> subprocess.Popen[bytes]:
        with (self.place / "dask.log").open("ab") as log:
            return subprocess.Popen(
                [_DASK, *words, "--scheduler-file", self.file], cwd=self.place,
                env=os.environ | ({"PYTHONPATH": str(path)} if path else {}),
                stdout=log, stderr=log)

    def begin_scheduler_again(self) -> None:
        """Begin a new scheduler at the address of the first, which has ended."""
        self.processes[0].wait()
        self.processes[0] = self._scheduler(self.address.rpartition(":")[2])
        assert self._told_address() == self.address

    def worker(self, *words: str, path: Path | None = None) -> subprocess.Popen[bytes]:
        """Begin a worker; ``path`` is where it finds topsheet, if elsewhere."""
        started = self._start("worker", "--nthreads", "1", "--no-nanny", "--no-dashboard", *words,
                              path=path)
        self.processes.append(started)
        return started

    def end(self) -> None:
        """End them all."""
        for process in reversed(self.processes):
            process.kill()
            process.wait()

    def run(self, *words: object, stdout: int | IO[str] = subprocess.PIPE) -> subprocess.Popen[str]:
        """The command, begun."""
        return subprocess.Popen(
            [sys.executable, "-c", "from separations.command_line import main; main()", "run",
             *map(str, words), "--cluster", self.address], cwd=ROOT, text=True, encoding="utf-8",
            stdout=stdout, stderr=subprocess.PIPE)
