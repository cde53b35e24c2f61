"""``topsheet run`` for the job that is open, in a process of its own that can be stopped."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from threading import Lock, Thread

Tell = Callable[..., None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Making:
    """How far the making of films is.

    Attributes
    ----------
    state : str
        ``none``, ``running``, ``made``, ``withheld`` (a finding says stop), ``stopped`` or
        ``failed``.
    says : str
        What is being done, or what went wrong.
    share : float
        Of the film pixels, 0 to 1.
    """

    state: str = "none"
    says: str = ""
    share: float = 0.0


class FilmMaking:
    """One run at a time.

    Parameters
    ----------
    job, out : Path
        The job file, and the folder that its films go to.
    outside : bool
        Whether the job may name files outside its folder.
    tell : callable
        Told ``("films")`` whenever there is something new.
    """

    def __init__(self, job: Path, out: Path, tell: Tell, *, outside: bool) -> None:
        self._job, self.out, self._tell, self._outside = job, out, tell, outside
        self._lock = Lock()
        self._process: subprocess.Popen[str] | None = None
        self.now = Making()

    def start(self, *, despite_stops: bool) -> bool:
        """Begin a run; False where one is going on."""
        with self._lock:
            if self._process is not None and self._process.poll() is None:
                return False
            words = [sys.executable, "-m", "separations.commands.film_run",
                     str(self._job.resolve()), str(self.out.resolve())]
            words += ["--despite-stops"] * despite_stops + ["--allow-outside"] * self._outside
            self._process = subprocess.Popen(
                words, stdout=subprocess.PIPE, stdin=subprocess.DEVNULL, text=True,
                encoding="utf-8", env={**os.environ, "PYTHONUNBUFFERED": "1"})
            self._put(Making(state="running", says="Reading the job"))
            Thread(target=self._follow, args=(self._process,), name="film making",
                   daemon=True).start()
        return True

    def stop(self) -> None:
        """Ask the run to end; it leaves the former output as it was."""
        with self._lock:
            if self._process is not None and self._process.poll() is None:
                self._process.send_signal(signal.SIGTERM)

    def wait(self) -> None:
        """Stop, and wait until it has cleared up."""
        self.stop()
        process = self._process
        if process is not None:
            try:
                process.wait(timeout=30)
            except subprocess.TimeoutExpired:
                process.kill()

    def _follow(self, process: subprocess.Popen[str]) -> None:
        assert process.stdout is not None
        ended: Making | None = None
        for line in process.stdout:
            try:
                told = json.loads(line)
            except ValueError:
                continue
            if "ended" in told:
                ended = Making(state=told["ended"], says=told.get("says", ""), share=1.0)
            elif "share" in told:
                self._put(replace(self.now, share=float(told["share"])))
            else:
                self._put(replace(self.now, says=str(told.get("says", ""))))
        status = process.wait()
        if ended is None:
            ended = (Making(state="stopped", says="Stopped; the former films are as they were.")
                     if status < 0 or status >= 128 else
                     Making(state="failed", says="The run ended without a word."))
        self._put(ended)

    def _put(self, now: Making) -> None:
        self.now = now
        self._tell("films", state=now.state, says=now.says, share=now.share)
