"""A small job whose command runs in a process of its own and is looked at afterwards."""

from __future__ import annotations

import contextlib
import hashlib
import os
import sys
import time
from collections.abc import Callable
from pathlib import Path

from preflight.files.whole_files import whole_folder
from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations import command_line
from separations.pipeline import calls  # all of it imported before the first fork
from tests.made_up_press import printed_sheet, write_readings
from tests.small_art import write_small_job

assert calls

_LEAST_JOB = (('"600 dpi"', '"200 dpi"'), ('"45 lpi"', '"14 lpi"'))
State = dict[str, str]


def state_of(folder: Path) -> State:
    """Every file's digest by its name; empty where there is no folder."""
    return {path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
            for path in sorted(folder.rglob("*")) if path.is_file()}


def forked(work: Callable[[], int], stop: Callable[[int], None] | None = None) -> int:
    """Exit status of the work in a child; minus the signal's number where one ended it."""
    child = os.fork()
    if child == 0:
        status = 99
        try:
            os.setpgid(0, 0)
            with open(os.devnull, "wb") as nowhere:  # noqa: PTH123
                for descriptor in (1, 2):
                    os.dup2(nowhere.fileno(), descriptor)
            status = work()
        finally:
            os._exit(status)
    if stop is not None:
        stop(child)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def topsheet(*words: object) -> Callable[[], int]:
    """The command, as work for `forked`."""

    def work() -> int:
        sys.argv = ["topsheet", *map(str, words)]
        try:
            command_line.main()
        except SystemExit as leave:
            return int(leave.code or 0)
        return 0

    return work


class SmallRun:
    """A small job with an output of an earlier run beside it, and the output that is to come.

    ``command`` is the one that writes; the job's title differs between the two outputs.
    """

    def __init__(self, place: Path, command: str = "run") -> None:
        self.command = command
        self.job = write_small_job(place / "job", *_LEAST_JOB)
        self._write_more()
        self.place = place / "outputs"
        self.place.mkdir()
        self.out = self.place / "out"
        text = self.job.read_text(encoding="utf-8")
        assert forked(self.run()) == 0
        self.former = state_of(self.out)
        self.job.write_text(_as_new(text), encoding="utf-8")
        began = time.monotonic()
        elsewhere = place / "elsewhere"
        assert forked(self.run(elsewhere)) == 0
        self.seconds = time.monotonic() - began
        self.new = state_of(elsewhere)
        assert self.new != self.former
        self.bytes = sum(p.stat().st_size for p in self.out.rglob("*") if p.is_file())

    def _write_more(self) -> None:
        """What a gang and a calibration take besides the job."""
        (self.job.parent / "gang.toml").write_text(
            'title = "Two"\ndate = 2026-11-25\n[[piece]]\njob = "marsh.toml"\n'
            '[[piece]]\njob = "marsh.toml"\nturn = 180\n', encoding="utf-8")
        (self.job.parent / "stock.toml").write_text('name = "Shelf"\n' + "".join(
            f'[[ink]]\nname = "{name}"\ncolour = "process {name}"\n'
            for name in ("yellow", "cyan", "black")), encoding="utf-8")
        told = read_job(self.job)
        write_readings(self.job.parent / "readings.csv", told, *printed_sheet(told, 1.6, 0.3, 5))

    def run(self, out: Path | None = None) -> Callable[[], int]:
        """The run, as work."""
        words: tuple[object, ...] = {
            "films": ("films", self.job, "--despite-stops"),
            "gang": ("gang", self.job.with_name("gang.toml"), "--despite-stops"),
            "calibrate": ("calibrate", self.job, self.job.with_name("readings.csv")),
            "inks": ("inks", self.job, "--stock", self.job.with_name("stock.toml")),
            "day": ("day", self.job), "exposure": ("exposure", self.job, "--middle", "20"),
            "run": ("run", self.job, "--despite-stops"),
        }.get(self.command, (self.command, self.job))
        return topsheet(*words, "--out", out or self.out)

    def found(self, *, swept: bool) -> str:
        """``former`` or ``new`` where the output is one of the two whole, else what is wrong."""
        now = state_of(self.out)
        stray = [p.name for p in self.place.iterdir() if p.name not in ("out", "filler")]
        if stray and swept:
            return f"MIXED: left {stray}"
        name = "former" if now == self.former else "new" if now == self.new else ""
        return name or f"MIXED: {sorted(set(now.items()) ^ set(self.new.items()))[:4]}"

    def put_back(self) -> None:
        """The earlier run's output once more, by the tool itself."""
        if state_of(self.out) != self.former:
            text = self.job.read_text(encoding="utf-8")
            self.job.write_text(_as_former(text), encoding="utf-8")
            assert forked(self.run()) == 0
            self.job.write_text(text, encoding="utf-8")
            assert state_of(self.out) == self.former


def _as_new(text: str) -> str:
    return text.replace("boards = 3", "boards = 5").replace('"Marsh light"', '"Marsh dusk"')


def _as_former(text: str) -> str:
    return text.replace("boards = 5", "boards = 3").replace('"Marsh dusk"', '"Marsh light"')


def failing(out: Path) -> int:
    """A next run into that folder, which comes to grief itself and clears up first."""
    with contextlib.suppress(InputProblem), whole_folder(out):
        raise InputProblem(where="x", found="a fault", would_do="none")
    return 3
