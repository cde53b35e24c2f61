"""Small jobs run in processes of their own that end at a chosen moment; driven by its words.

``python -m tests.faults.stopped_runs WAY COUNT`` prints one line of JSON: how many moments were
tried, and what the output was after each. Processes are forked off one that has imported all and
started nothing, so that hundreds cost little. The ways:

step      SIGKILL at each step of `preflight.files.whole_files` that touches the disk
kill      SIGKILL at moments of ``topsheet run``, half of them evenly spaced, half near its end
kill-…    the same of every other command that writes a folder
term      SIGTERM, SIGHUP and SIGINT in turn, at such moments
full      a disk of ever so many bytes (a small disk in memory, where one can be mounted)
full-…, readonly-…  the same of those other commands
readonly  a disk that can only be read from one step of ``topsheet run`` on; the writes are refused
          by Python's own audit of what is opened, made, moved and removed
filesize  a limit on the size of files (RLIMIT_FSIZE), a disk full at that many bytes of one file
"""

from __future__ import annotations

import contextlib
import json
import os
import signal
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
from tests.faults.scarce_disks import disk_full, files_limited, read_only
from tests.faults.small_run import SmallRun, failing, forked, state_of

#: Events of Python's own audit that touch the disk.
_STEPS = ("open", "os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.chmod", "os.listdir",
          "os.scandir", "shutil.rmtree", "fcntl.flock")
#: Commands that write, besides ``run``.
COMMANDS = ("films", "gang", "wedge", "calibrate", "outline", "proof", "ink", "inks", "day",
            "exposure", "profile")


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
                forked(partial(failing, run.out))
                found = found if found.startswith("MIXED") else run.found(swept=True)
            yield f"{found}{' before the signal' if status == 0 else ''}"
            run.put_back()


WAYS: dict[str, Callable[[int], Iterator[str]]] = {
    "step": lambda count: steps(count, exchange=True),
    "step-without-exchange": lambda count: steps(count, exchange=False),
    "kill": lambda count: stopped(count, (signal.SIGKILL,)),
    "term": lambda count: stopped(count, (signal.SIGTERM, signal.SIGHUP, signal.SIGINT)),
    **{f"kill-{command}": partial(stopped, numbers=(signal.SIGKILL,), command=command)
       for command in COMMANDS},
    "full": disk_full,
    "readonly": read_only,
    **{f"full-{command}": partial(disk_full, command=command)
       for command in COMMANDS},
    **{f"readonly-{command}": partial(read_only, command=command) for command in COMMANDS},
    "filesize": files_limited,
}


if __name__ == "__main__":
    results = list(WAYS[sys.argv[1]](int(sys.argv[2])))
    print(json.dumps({"moments": len(results), "found": dict(Counter(results))}))  # noqa: T201
