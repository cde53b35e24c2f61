"""The processes that make jobs: begun, told what to make, heard, watched and ended."""

from __future__ import annotations

import contextlib
import json
import subprocess
import sys
import time
from collections.abc import Callable
from threading import Thread
from typing import Any

import psutil

from preflight.files.whole_files import fresh_folder
from preflight.input_problem import InputProblem
from preflight.job_file.named_paths import is_outside_allowed
from separations.uses.season.job_list import ListedJob

#: The program that each process runs.
_PROGRAM = "separations.commands.job_process"
_PATIENCE_S = 10.0

#: Told of each line that a process answers; None when it has ended.
Hear = Callable[["JobProcess", "dict[str, Any] | None"], None]


class JobProcess:
    """A process that makes one job at a time.

    Parameters
    ----------
    hear : callable
        Told, from a thread of its own, of what the process answers.

    Attributes
    ----------
    job : ListedJob or None
        What it makes now.
    begun : float
        When it was told to (s, of the steady clock).
    done : float
        The share of the job's films that is made.
    peak_bytes : int
        Most that it was seen to hold since.
    """

    def __init__(self, hear: Hear) -> None:
        self.job: ListedJob | None = None
        self.begun = self.done = 0.0
        self.peak_bytes = 0
        self._process = subprocess.Popen(
            [sys.executable, "-m", _PROGRAM], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            text=True, encoding="utf-8")
        self._seen = psutil.Process(self._process.pid)
        Thread(target=self._listen, args=(hear,), daemon=True).start()

    def make(self, job: ListedJob, *, despite_stops: bool) -> None:
        """Tell the process to make a job; a process that has ended says so by itself."""
        self.job, self.begun, self.done, self.peak_bytes = job, time.monotonic(), 0.0, 0
        order = {"job": str(job.job), "out": str(job.out), "despite_stops": despite_stops,
                 "outside": is_outside_allowed()}
        with contextlib.suppress(OSError):
            assert self._process.stdin is not None
            self._process.stdin.write(json.dumps(order) + "\n")
            self._process.stdin.flush()

    def held_bytes(self) -> int:
        """What the process holds now (bytes); nothing once it has ended."""
        try:
            held = int(self._seen.memory_info().rss)
        except psutil.Error:
            return 0
        self.peak_bytes = max(self.peak_bytes, held)
        return held

    def ask_to_end(self) -> None:
        """Ask the process to end; what it was writing is cleared up by it, if it can."""
        with contextlib.suppress(OSError):
            assert self._process.stdin is not None
            self._process.stdin.close()
        self._process.terminate()

    def wait(self) -> None:
        """Wait until the process has ended, and make an end of it if it takes too long.

        What a process that was killed left half-written is swept.
        """
        try:
            self._process.wait(_PATIENCE_S)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        with contextlib.suppress(OSError):
            assert self._process.stdin is not None
            self._process.stdin.close()
        if self.job is not None:
            with contextlib.suppress(InputProblem), fresh_folder(self.job.out):
                pass

    def _listen(self, hear: Hear) -> None:
        assert self._process.stdout is not None
        with self._process.stdout as answers:
            for line in answers:
                try:
                    told = json.loads(line)
                except ValueError:  # it was ended within a line
                    continue
                hear(self, told)
        hear(self, None)
