"""Runs on disks that are full, that take no large file, or that can only be read."""

from __future__ import annotations

import errno
import os
import resource
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from functools import partial
from pathlib import Path

from tests.faults.small_run import SmallRun, failing, forked

#: Events of Python's own audit that write to the disk.
_WRITES = ("open", "os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.chmod")


def disk_full(count: int, command: str = "run") -> Iterator[str]:
    """What a command left on disks of so many sizes; nothing where no disk can be mounted."""
    with tempfile.TemporaryDirectory() as scratch:
        place = Path(scratch) / "outputs"
        (Path(scratch) / "measured").mkdir()
        run = SmallRun(Path(scratch) / "measured", command)
        place.mkdir()
        size = run.bytes * 3 + 400_000
        mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", place],
                                 capture_output=True, check=False)
        if mounted.returncode:
            return
        try:
            run.place, run.out = place, place / run.out.name
            run.put_back()
            for step in range(count):
                room = os.statvfs(place)
                free = room.f_bavail * room.f_frsize
                left = int(run.bytes * 1.3 * (step + 0.5) / count)
                (place / "filler").write_bytes(b"\0" * max(0, free - left))
                status = forked(run.run())
                found = run.found(swept=True)
                if status not in (0, 2):
                    found = f"MIXED: status {status}"
                if (status == 0) != (found == "new"):
                    found = f"MIXED: status {status} yet {found}"
                (place / "filler").unlink()
                yield found
                run.put_back()
        finally:
            subprocess.run(["umount", place], check=False)


def read_only(count: int, command: str = "run") -> Iterator[str]:
    """What a command left on a disk that could only be read from each of so many steps on."""
    with tempfile.TemporaryDirectory() as scratch:
        run = SmallRun(Path(scratch), command)
        told, counted_out = Path(scratch) / "steps", run.place / "counted"

        def counted() -> int:
            steps = _refused_from(run.place, sys.maxsize)
            status = run.run(counted_out)()
            told.write_text(str(steps[0]), encoding="ascii")
            return status

        assert forked(counted) == 0
        shutil.rmtree(counted_out)
        steps = int(told.read_text(encoding="ascii"))
        for place in range(count):

            def refused(place: int = place) -> int:
                _refused_from(run.place, steps * place // count)
                return run.run()()

            status = forked(refused)
            found = run.found(swept=False)
            if status not in (0, 2) or (status == 0) != (found == "new"):
                found = f"MIXED: status {status}, {found}"
            forked(partial(failing, run.out))  # the next run clears up what could not be removed
            yield found if found.startswith("MIXED") else run.found(swept=True)
            run.put_back()


def _refused_from(place: Path, first: int) -> list[int]:
    """Refuse what would write to a folder, from that step on; the count of steps so far."""
    done = [0]

    def hook(event: str, arguments: tuple[object, ...]) -> None:
        if event not in _WRITES or (event == "open" and not _writes(arguments)):
            return
        named = [os.fsdecode(one) for one in arguments[:1 + (event == "os.rename")]
                 if isinstance(one, (str, bytes, os.PathLike))]
        if not any(name.startswith(str(place)) or (event != "open" and "/" not in name)
                   for name in named):  # without a folder: inside one that is being removed
            return
        done[0] += 1
        if done[0] > first:
            raise OSError(errno.EROFS, os.strerror(errno.EROFS))

    sys.addaudithook(hook)
    return done


def _writes(arguments: tuple[object, ...]) -> bool:
    """Whether a file is opened to be written; Python tells its mode, or the system's flags."""
    _, mode, flags = arguments
    return bool(isinstance(flags, int) and flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)) or bool(
        isinstance(mode, str) and set(mode) & set("wax+"))


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
