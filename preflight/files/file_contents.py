"""Files known by what they hold, so that one that changes on disk is seen."""

from __future__ import annotations

import hashlib
import os
import stat
from pathlib import Path
from threading import Lock

#: Files up to this size are read at each asking; larger ones only when the system says that they
#: were written since. A clock that ticks coarsely can hide a change of a small file made at once.
_ALWAYS_READ_BYTES = 256 * 2**10
#: Files beyond this are known by size and time alone: no reader takes them.
_MOST_READ_BYTES = 16 * 2**30

_Stamp = tuple[int, int, int, int, int]


class FileContents:
    """Digests of files, each made once while the file stays as it is; any thread may ask."""

    def __init__(self) -> None:
        self._known: dict[Path, tuple[_Stamp, str]] = {}
        self._lock = Lock()

    def digest(self, path: Path) -> str:
        """What a file holds, as 32 hexadecimal digits; other words where it cannot be read.

        Nothing is raised and no pipe is waited for: the reader of its format says what is
        wrong with it.
        """
        try:
            told = path.stat()
            if not stat.S_ISREG(told.st_mode):
                return "no plain file"
            stamp = (told.st_dev, told.st_ino, told.st_size, told.st_mtime_ns, told.st_ctime_ns)
            if told.st_size > _MOST_READ_BYTES:
                return f"large {stamp}"
            with self._lock:
                known = self._known.get(path)
            if known and known[0] == stamp and told.st_size > _ALWAYS_READ_BYTES:
                return known[1]
            digest = _digest_of(path)
        except (OSError, ValueError) as fault:
            return f"unreadable {getattr(fault, 'errno', None)}"
        with self._lock:
            self._known[path] = stamp, digest
        return digest


def _digest_of(path: Path) -> str:
    """The first 128 bits of the SHA-256 of a plain file."""
    with os.fdopen(os.open(path, os.O_RDONLY | getattr(os, "O_BINARY", 0)), "rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()[:32]
