"""A job open on the layout page whose server is killed amid edits and saves.

``python -m tests.faults.stopped_layouts kill COUNT`` prints one line of JSON, as `stopped_runs`
does; ``full`` tries so many sizes of a disk that takes no more.
"""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import tomllib
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

from preflight.input_problem import InputProblem
from separations.uses.layout_page.open_job import OpenJob
from tests.faults.small_run import forked
from tests.small_art import write_small_job

#: A job is saved after so many edits; the last kill comes after so long at most.
_EDITS_A_SAVE, _LONGEST_S = 3, 0.12
#: What a job of some edits and saves takes on a disk, at most.
_ROOM = 120_000
#: What a small job says.
_BOARDS_AT_FIRST = 3


def killed_layouts(count: int) -> Iterator[str]:
    """What was found after SIGKILL at each of so many moments.

    Each edit sets the count of boards to the next number. An edit that had been told as done has to
    be in the history of the next server, and the file holds what was saved last, or the text whose
    saving was under way.
    """
    with tempfile.TemporaryDirectory() as scratch:
        for place in range(count):
            job = write_small_job(Path(scratch) / str(place))
            reader, writer = os.pipe()
            status = forked(_editing(job, writer), _stopped_after(reader, (place + 0.5) / count))
            os.close(writer)
            told = _all_of(reader).split()
            yield _found(job, told) if status == -signal.SIGKILL else f"MIXED: status {status}"


def full_layouts(count: int) -> Iterator[str]:
    """What was found on disks with so much room; nothing where no disk can be mounted.

    The file holds the former text or the one that was saved, whole; what is not saved is told.
    """
    with tempfile.TemporaryDirectory() as scratch:
        place = Path(scratch)
        mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=4M", "tmpfs", place],
                                 capture_output=True, check=False)
        if mounted.returncode:
            return
        try:
            for step in range(count):
                job = write_small_job(place / "job")
                room = os.statvfs(place)
                left = int(_ROOM * (step + 0.5) / count)
                (place / "filler").write_bytes(
                    b"\0" * (room.f_bavail * room.f_frsize - left // 4096 * 4096))
                reader, writer = os.pipe()
                status = forked(_editing(job, writer, 40))
                os.close(writer)
                told = _all_of(reader).split()
                (place / "filler").unlink()
                yield _found(job, told, full=True) if status in (0, 2) else \
                    f"MIXED: status {status}"
                shutil.rmtree(place / "job")
        finally:
            subprocess.run(["umount", place], check=False)


def _editing(job: Path, writer: int, last: int = 10000) -> Callable[[], int]:
    """Edits without end, each told when it is done: ``e7`` for an edit, ``s7`` for a save."""

    def work() -> int:
        page = OpenJob(job)
        os.write(writer, b"open ")
        for number in range(4, last):
            page.edit([{"set": ["boards"], "to": number}], "boards", page.now().revision)
            os.write(writer, b"e%d " % number)
            if number % _EDITS_A_SAVE == 0:
                try:
                    page.save()
                except InputProblem:
                    return 2
                os.write(writer, b"s%d " % number)
        return 0

    return work


def _stopped_after(reader: int, part: float) -> Callable[[int], None]:
    def stop(child: int) -> None:
        assert os.read(reader, 5) == b"open "
        time.sleep(_LONGEST_S * part)
        os.kill(child, signal.SIGKILL)

    return stop


def _all_of(reader: int) -> str:
    parts = []
    while part := os.read(reader, 65536):
        parts.append(part)
    os.close(reader)
    return b"".join(parts).decode("ascii")


def _boards(text: str) -> int:
    return int(tomllib.loads(text)["boards"])


def _found(job: Path, told: list[str], *, full: bool = False) -> str:
    edits, saves = ([int(one[1:]) for one in told if one[0] == kind] for kind in "es")
    at_first = _boards(job.read_text(encoding="utf-8"))
    edited, saved = edits[-1] if edits else 0, saves[-1] if saves else _BOARDS_AT_FIRST
    if at_first not in (saved, saved + _EDITS_A_SAVE):
        return f"MIXED: {at_first} boards in the file, {saved} saved"
    again = OpenJob(job)
    try:
        taken_up = _boards(again.now().text)
    finally:
        again.close()
    if full:  # unsaved edits cannot be kept there, which the page says
        return "all saved" if edited == saved else "saved up to a full disk"
    if edited and taken_up not in (edited, edited + 1):
        return f"MIXED: {taken_up} boards taken up, {edited} told"
    stray = [one.name for one in job.parent.iterdir()
             if one.name.startswith(".") and not one.name.endswith(".layout")]
    if stray:
        return f"MIXED: left {stray}"
    return "amid edits" if edited > saved else "just saved"


if __name__ == "__main__":
    ways = {"kill": killed_layouts, "full": full_layouts}
    results = list(ways[sys.argv[1]](int(sys.argv[2])))
    print(json.dumps({"moments": len(results), "found": dict(Counter(results))}))  # noqa: T201
