"""Locks for systems that cannot lock a folder (Windows): each folder's is a file elsewhere.

The file lies in the user's folder for temporary files and is named after the folder's place, so
that nothing is open inside a folder that is to be renamed. Users who write to one folder from
several accounts or machines do not see each other's locks.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import tempfile
from collections.abc import Callable
from pathlib import Path

from filelock import FileLock, Timeout


def take_lock(folder: Path) -> Callable[[], None] | None:
    """Lock a folder; what unlocks it, or None where the disk knows no locks.

    Raises
    ------
    BlockingIOError
        When somebody else holds it.
    OSError
        When there is no such folder.
    """
    folder.stat()
    file = _lock_file(folder)
    lock = FileLock(file, timeout=0)
    try:
        lock.acquire()
    except Timeout:
        raise BlockingIOError(errno.EWOULDBLOCK, os.strerror(errno.EWOULDBLOCK)) from None
    except (OSError, NotImplementedError):
        return None

    def release() -> None:
        lock.release()
        with contextlib.suppress(OSError):  # Windows keeps the file of whoever holds it now
            file.unlink()

    return release


def _lock_file(folder: Path) -> Path:
    place = os.fsencode(os.path.normcase(folder.resolve()))
    name = f"topsheet-{hashlib.sha256(place).hexdigest()[:32]}.lock"
    return Path(tempfile.gettempdir()) / name
