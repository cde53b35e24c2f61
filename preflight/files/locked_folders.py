"""Locks on folders themselves, as Linux and macOS have them; elsewhere see `lock_files`."""

from __future__ import annotations

import fcntl
import os
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path

assert sys.platform != "win32"


def take_lock(folder: Path) -> Callable[[], None] | None:
    """Lock a folder; what unlocks it, or None where the disk knows no locks.

    Raises
    ------
    BlockingIOError
        When somebody else holds it.
    OSError
        When there is no such folder, or it may not be opened.
    """
    descriptor = os.open(folder, os.O_RDONLY | os.O_CLOEXEC)
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as fault:
        os.close(descriptor)
        if isinstance(fault, BlockingIOError):
            raise
        return None
    return partial(os.close, descriptor)
