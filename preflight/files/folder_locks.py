"""Which run owns a folder that is being written: locks that end with the process that holds them.

The system drops a lock when its process ends, however it ends, so that a folder without one was
left by a run that was killed.
"""

from __future__ import annotations

import contextlib
import fcntl
import os
import time
from collections.abc import Iterator
from pathlib import Path

_LONGEST_WAIT_S = 20.0


class FolderTaken(Exception):
    """Another process holds the folder."""


@contextlib.contextmanager
def held(folder: Path) -> Iterator[None]:
    """Hold a folder until the block ends; raises `FolderTaken` when somebody else holds it.

    Where the disk knows no locks (some network disks) nothing is held.
    """
    descriptor = os.open(folder, os.O_RDONLY | os.O_CLOEXEC)
    try:
        _lock(descriptor)
        yield
    finally:
        os.close(descriptor)


@contextlib.contextmanager
def held_in_turn(folder: Path) -> Iterator[None]:
    """Hold a folder for a moment, after whoever holds it now; raises `FolderTaken` after 20 s."""
    descriptor = os.open(folder, os.O_RDONLY | os.O_CLOEXEC)
    try:
        give_up = time.monotonic() + _LONGEST_WAIT_S
        while True:
            try:
                _lock(descriptor)
                break
            except FolderTaken:
                if time.monotonic() > give_up:
                    raise
                time.sleep(0.02)
        yield
    finally:
        os.close(descriptor)


def is_ownerless(folder: Path) -> bool:
    """Whether surely nobody holds the folder; not so on disks that know no locks."""
    try:
        descriptor = os.open(folder, os.O_RDONLY | os.O_CLOEXEC)
    except OSError:
        return False
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        return True
    except OSError:
        return False
    finally:
        os.close(descriptor)


def _lock(descriptor: int) -> None:
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        raise FolderTaken from None
    except OSError:  # a disk without locks
        return
