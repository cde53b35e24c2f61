"""Small jobs run in processes of their own that end at a chosen moment; driven by its words.

``python -m tests.faults.stopped_runs WAY COUNT`` prints one line of JSON: how many moments were
tried, and what the output was after each. Processes are forked off one that has imported all and
started nothing, so that hundreds cost little. The ways:

step      SIGKILL at each step of `preflight.files.whole_files` that touches the disk
kill      SIGKILL at moments of ``topsheet run``, half of them evenly spaced, half near its end
kill-…    the same of ``films``, ``gang``, ``wedge``, ``calibrate``, ``outline`` and ``proof``
term      SIGTERM, SIGHUP and SIGINT in turn, at such moments
full      a disk of ever so many bytes (a small disk in memory, where one can be mounted)
filesize  a limit on the size of files (RLIMIT_FSIZE), a disk full at that many bytes of one file
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import resource
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

from preflight.files import renamed_folders
from preflight.files.whole_files import whole_folder
from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations import command_line
from separations.pipeline import calls  # all of it imported before the first fork
from tests.made_up_press import printed_sheet, write_readings
from tests.small_art import write_small_job

assert calls

#: Events of Python's own audit that touch the disk.
_STEPS = ("open", "os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.chmod", "os.listdir",
          "os.scandir", "shutil.rmtree", "fcntl.flock")
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


# -- at each step of the writer ---------------------------------------------------------------


def write_version(target: Path, version: str, *, fails: bool = False) -> None:
    """A small output: three files that all tell its version."""
    with whole_folder(target) as folder:
        (folder / "films").mkdir()
        for name in ("films/a", "films/b", "c"):
            (folder / name).write_text(version * 100, encoding="utf-8")
        if fails:
            raise InputProblem(where="x", found="a fault", would_do="none")


def killed_at_step(step: int, target: Path) -> int:
    """Write the second version in a child that is killed before that step; its status."""

    def work() -> int:
        left = [step]

        def hook(event: str, _arguments: object) -> None:
            if event in _STEPS:
                left[0] -= 1
                if left[0] < 0:
                    os.kill(os.getpid(), signal.SIGKILL)

        sys.addaudithook(hook)
        write_version(target, "2")
        return 0

    return forked(work)


def steps(count: int, *, exchange: bool) -> Iterator[str]:
    """What was found after each step's kill, until the writer gets to its end."""
    if not exchange:
        renamed_folders._system_exchange = lambda: None  # type: ignore[assignment]
    for step in range(count):
        with tempfile.TemporaryDirectory() as scratch:
            target = Path(scratch) / "out"
            write_version(target, "1")
            former = state_of(target)
            status = killed_at_step(step, target)
            with contextlib.suppress(InputProblem):
                write_version(target, "3", fails=True)  # the next run, which itself comes to grief
            now = state_of(target)
            version = {(target / name).read_text(encoding="utf-8")[:1] for name in now
                       if not name.startswith(".")}
            whole = now == former or (len(now) == len(former) and version == {"2"})
            stray = sorted(p.name for p in Path(scratch).iterdir() if p.name != "out")
            yield f"{'former' if now == former else 'new'}" if whole and not stray else \
                f"MIXED at {step}: {sorted(now)} {stray}"
            if status == 0:
                return


# -- whole runs ---------------------------------------------------------------------------------


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
        assert forked(self.run(place / "elsewhere")) == 0
        self.seconds = time.monotonic() - began
        self.new = state_of(place / "elsewhere")
        assert self.new != self.former
        self.bytes = sum(p.stat().st_size for p in self.out.rglob("*") if p.is_file())

    def _write_more(self) -> None:
        """What a gang and a calibration take besides the job."""
        (self.job.parent / "gang.toml").write_text(
            'title = "Two"\ndate = 2026-11-25\n[[piece]]\njob = "marsh.toml"\n'
            '[[piece]]\njob = "marsh.toml"\nturn = 180\n', encoding="utf-8")
        told = read_job(self.job)
        write_readings(self.job.parent / "readings.csv", told, *printed_sheet(told, 1.6, 0.3, 5))

    def run(self, out: Path | None = None) -> Callable[[], int]:
        """The run, as work."""
        words: tuple[object, ...] = {
            "gang": (self.job.with_name("gang.toml"), "--despite-stops"),
            "wedge": (self.job,), "outline": (self.job,), "proof": (self.job,),
            "calibrate": (self.job, self.job.with_name("readings.csv")),
        }.get(self.command, (self.job, "--despite-stops"))
        return topsheet(self.command, *words, "--out", out or self.out)

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


def stopped(count: int, numbers: tuple[int, ...], command: str = "run") -> Iterator[str]:
    """What was found after a signal at each of so many moments."""
    with tempfile.TemporaryDirectory() as scratch:
        run = SmallRun(Path(scratch), command)
        for place in range(count):
            number = numbers[place % len(numbers)]

            def stop(child: int, place: int = place, number: int = number) -> None:
                part = (place + 0.5) / count  # every other one near the end
                time.sleep(run.seconds * (1.05 * part if place % 2 else 0.8 + 0.25 * part))
                os.kill(child, number)

            status = forked(run.run(), stop)
            killed = number == signal.SIGKILL
            found = run.found(swept=not killed)
            if status not in (0, -number if killed else 128 + number):
                found = f"MIXED: status {status}"
            if killed:  # the next run, which itself comes to grief, clears up
                forked(lambda: _failing(run.out))
                found = found if found.startswith("MIXED") else run.found(swept=True)
            yield f"{found}{' before the signal' if status == 0 else ''}"
            run.put_back()


def _failing(out: Path) -> int:
    with contextlib.suppress(InputProblem), whole_folder(out):
        raise InputProblem(where="x", found="a fault", would_do="none")
    return 3


def disk_full(count: int) -> Iterator[str]:
    """What was found on disks of so many sizes; nothing where no disk can be mounted."""
    with tempfile.TemporaryDirectory() as scratch:
        place = Path(scratch) / "outputs"
        reference = SmallRun(Path(scratch) / "measured") if _made(Path(scratch) / "measured") \
            else None
        assert reference is not None
        place.mkdir()
        size = reference.bytes * 3 + 400_000
        mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", place],
                                 capture_output=True, check=False)
        if mounted.returncode:
            return
        try:
            reference.place, reference.out = place, place / "out"
            text = reference.job.read_text(encoding="utf-8")
            reference.job.write_text(_as_former(text), encoding="utf-8")
            assert forked(reference.run()) == 0
            reference.job.write_text(text, encoding="utf-8")
            for step in range(count):
                room = os.statvfs(place)
                free = room.f_bavail * room.f_frsize
                left = int(reference.bytes * 1.3 * (step + 0.5) / count)
                (place / "filler").write_bytes(b"\0" * max(0, free - left))
                status = forked(reference.run())
                found = reference.found(swept=True)
                if status not in (0, 2):
                    found = f"MIXED: status {status}"
                if (status == 0) != (found == "new"):
                    found = f"MIXED: status {status} yet {found}"
                (place / "filler").unlink()
                yield found
                reference.put_back()
        finally:
            subprocess.run(["umount", place], check=False)


def _made(folder: Path) -> bool:
    folder.mkdir()
    return True


def files_limited(count: int) -> Iterator[str]:
    """What was found when no file may grow past a size, for so many sizes."""
    with tempfile.TemporaryDirectory() as scratch:
        run = SmallRun(Path(scratch))
        largest = max(p.stat().st_size for p in run.out.rglob("*") if p.is_file())
        for step in range(count):
            most = int(largest * 1.1 * (step + 0.5) / count)

            def limited(most: int = most) -> int:
                resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
                return run.run()()

            status = forked(limited)
            found = run.found(swept=True)
            if status not in (0, 2) or (status == 0) != (found == "new"):
                found = f"MIXED: status {status}, {found}"
            yield found
            run.put_back()


WAYS: dict[str, Callable[[int], Iterator[str]]] = {
    "step": lambda count: steps(count, exchange=True),
    "step-without-exchange": lambda count: steps(count, exchange=False),
    "kill": lambda count: stopped(count, (signal.SIGKILL,)),
    "term": lambda count: stopped(count, (signal.SIGTERM, signal.SIGHUP, signal.SIGINT)),
    **{f"kill-{command}": partial(stopped, numbers=(signal.SIGKILL,), command=command)
       for command in ("films", "gang", "wedge", "calibrate", "outline", "proof")},
    "full": disk_full,
    "filesize": files_limited,
}


if __name__ == "__main__":
    results = list(WAYS[sys.argv[1]](int(sys.argv[2])))
    print(json.dumps({"moments": len(results), "found": dict(Counter(results))}))  # noqa: T201
