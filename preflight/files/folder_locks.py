"""Which run owns a folder that is being written: locks that end with the process that holds them.

The system drops a lock when its process ends, however it ends, so that a folder without one was
left by a run that was killed.
"""

from __future__ import annotations

import contextlib
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

if sys.platform == "win32":
    from preflight.files.lock_files import take_lock
else:
    from preflight.files.locked_folders import take_lock

_LONGEST_WAIT_S = 20.0


class FolderTaken(Exception):
    """Another process holds the folder."""


@contextlib.contextmanager
def held(folder: Path) -> Iterator[None]:
    """Hold a folder until the block ends; raises `FolderTaken` when somebody else holds it.

    Where the disk knows no locks (some network disks) nothing is held.
    """
    release = _taken(folder)
    try:
        yield
    finally:
        release()


@contextlib.contextmanager
def held_in_turn(folder: Path) -> Iterator[None]:
    """Hold a folder for a moment, after whoever holds it now; raises `FolderTaken` after 20 s."""
    give_up = time.monotonic() + _LONGEST_WAIT_S
    while True:
        try:
            release = _taken(folder)
            break
        except FolderTaken:
            if time.monotonic() > give_up:
                raise
            time.sleep(0.02)
    try:
        yield
    finally:
        release()


def is_ownerless(folder: Path) -> bool:
    """Whether surely nobody holds the folder; not so on disks that know no locks."""
    try:
        release = take_lock(folder)
    except OSError:
        return False
    if release is None:
        return False
    release()
    return True


def _taken(folder: Path) -> Callable[[], None]:
    try:
        release = take_lock(folder)
    except BlockingIOError:
        raise FolderTaken from None
    return release or _nothing


def _nothing() -> None:
    return
