"""A call for many jobs stopped at a chosen moment, and what became of each job's output."""

from __future__ import annotations

import hashlib
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import psutil

from tests.season_jobs import write_tiny_jobs

State = dict[str, str]
#: How long the processes of a call that was stopped may take to clear up (s).
_PATIENCE_S = 120.0


class StoppedSeason:
    """A folder of jobs made over and over in two versions, each call but the last one stopped.

    Parameters
    ----------
    place : Path
        An empty folder.
    count : int
        How many jobs.
    words : str
        Further words of the call.
    """

    def __init__(self, place: Path, count: int, *words: str) -> None:
        self.folder, self._words = place / "winter", words
        self.jobs = write_tiny_jobs(self.folder, count)
        self.versions: dict[str, State] = {}
        for version in "ab":
            self.set_version(version)
            began = time.monotonic()
            assert self.begun().wait() == 0
            self.seconds = time.monotonic() - began
            self.versions[version] = self.outputs()

    def set_version(self, version: str) -> None:
        """Make the jobs those of version ``a`` or ``b``."""
        for job in self.jobs:
            text = job.read_text(encoding="utf-8")
            old, new = ("boards = 5", "boards = 3") if version == "a" else (
                "boards = 3", "boards = 5")
            job.write_text(text.replace(old, new), encoding="utf-8")

    def begun(self) -> subprocess.Popen[bytes]:
        """The call, begun."""
        return subprocess.Popen(
            [sys.executable, "-c", "from separations.command_line import main; main()", "run",
             str(self.folder), *self._words], cwd=Path(__file__).parents[2],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)

    def outputs(self) -> State:
        """Every output file's digest by its name."""
        return {path.relative_to(self.folder).as_posix(): hashlib.sha256(
            path.read_bytes()).hexdigest() for job in self.jobs
            for path in sorted((self.folder / f"{job.stem}-out").rglob("*")) if path.is_file()}

    def stopped(self, share: float, version: str, stop: Callable[[psutil.Process], None]) -> str:
        """What is wrong after a call was stopped when so much of its time had passed, or nothing.

        Each job's output must be that of the one version or the other, whole.
        """
        self.set_version(version)
        running = self.begun()
        driver = psutil.Process(running.pid)
        time.sleep(share * self.seconds)
        everyone = [driver, *driver.children(recursive=True)]
        stop(driver)
        running.wait()
        alive = psutil.wait_procs(everyone[1:], timeout=_PATIENCE_S)[1]
        if alive:
            return f"still at work: {alive}"
        return self.wrong_outputs()

    def wrong_outputs(self) -> str:
        """Which job's output is neither that of the one version nor of the other, or nothing."""
        now = self.outputs()
        for job in self.jobs:
            of_job = {name: digest for name, digest in now.items()
                      if name.startswith(f"{job.stem}-out/")}
            if not any(of_job == {name: digest for name, digest in state.items()
                                  if name.startswith(f"{job.stem}-out/")}
                       for state in self.versions.values()):
                return f"{job.stem} is mixed or lost: {sorted(of_job)}"
        return ""

    def mended(self, version: str) -> str:
        """What is wrong after the next call, which is left to its end, or nothing."""
        self.set_version(version)
        if self.begun().wait() != 0:
            return "the next call failed"
        left = [path.name for path in self.folder.iterdir() if path.name.startswith(".")]
        return f"left {left}" if left else (
            "" if self.outputs() == self.versions[version] else "not what it should be")


def kill_driver(driver: psutil.Process) -> None:
    """End the call itself without a word; its processes must notice."""
    driver.kill()


def kill_a_worker(driver: psutil.Process) -> None:
    """End one of its processes without a word; the call must go on to its end."""
    for child in driver.children()[:1]:
        child.kill()


def press_ctrl_c(driver: psutil.Process) -> None:
    """As a terminal does: the signal goes to all."""
    for process in [*driver.children(), driver]:
        process.send_signal(signal.SIGINT)
