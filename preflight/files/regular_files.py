"""Files that others gave, opened so that none can hang or flood the reader."""

from __future__ import annotations

import difflib
import os
import stat
from itertools import islice
from pathlib import Path
from typing import BinaryIO

from preflight.input_problem import InputProblem

_KINDS = ((stat.S_ISDIR, "a folder"), (stat.S_ISFIFO, "a pipe"), (stat.S_ISSOCK, "a socket"),
          (stat.S_ISCHR, "a device"), (stat.S_ISBLK, "a device"))

#: How files are opened: as bytes, for no other program, and never waited for. No system has all.
_HOW = os.O_RDONLY | sum(getattr(os, name, 0) for name in (
    "O_CLOEXEC", "O_NOINHERIT", "O_NONBLOCK", "O_BINARY"))

#: How many names of a folder are compared with one that is not there.
_MOST_NAMES = 2000


def open_regular(path: Path, *, would_do: str) -> BinaryIO:
    """Open a plain file for reading; a pipe, device or folder is refused and never waited for.

    Parameters
    ----------
    path : Path
        The file; links are followed.
    would_do : str
        What the fault asks for, e.g. ``"a picture"``.

    Raises
    ------
    InputProblem
        When there is no such file, it may not be read, or it is no plain file.
    """
    try:
        _need_plain(path, path.stat().st_mode, would_do)  # opening some devices does things
        # Not waiting: what was a plain file a moment ago may be a pipe by now.
        descriptor = os.open(path, _HOW)
    except (OSError, ValueError) as fault:
        raise InputProblem(where=str(path), found=_reason(fault, path), would_do=would_do) from None
    try:
        _need_plain(path, os.fstat(descriptor).st_mode, would_do)
    except BaseException:
        os.close(descriptor)
        raise
    return os.fdopen(descriptor, "rb")


def bytes_of(path: Path, most: int, *, would_do: str) -> bytes:
    """All that a plain file holds.

    Parameters
    ----------
    path : Path
        The file.
    most : int
        The greatest size taken (bytes); no more than this is ever read.
    would_do : str
        What the fault asks for.

    Raises
    ------
    InputProblem
        As `open_regular`, or when the file is larger.
    """
    try:
        with open_regular(path, would_do=would_do) as stream:
            raw = stream.read(most + 1)
    except OSError as fault:
        raise InputProblem(where=str(path), found=_reason(fault, path), would_do=would_do) from None
    if len(raw) > most:
        raise InputProblem(where=str(path), found=f"more than {most / 1e6:g} MB",
                           would_do=would_do)
    return raw


def _need_plain(path: Path, mode: int, would_do: str) -> None:
    if stat.S_ISREG(mode):
        return
    found = next((name for is_kind, name in _KINDS if is_kind(mode)), "not a regular file")
    raise InputProblem(where=str(path), found=found, would_do=would_do)


def _reason(fault: OSError | ValueError, path: Path) -> str:
    if isinstance(fault, FileNotFoundError | NotADirectoryError):
        near = _nearest_name(path)
        return f"no such file (nearest in name: '{near}')" if near else "no such file"
    if isinstance(fault, PermissionError):
        return "a file without permission to read it"
    if isinstance(fault, OSError):
        return f"no way to read it ({(fault.strerror or 'an error').lower()})"
    return "a name that no file can have"


def _nearest_name(path: Path) -> str | None:
    """The file in the same folder whose name comes nearest, if one is near enough."""
    try:
        with os.scandir(path.parent) as entries:
            names = sorted(e.name for e in islice(entries, _MOST_NAMES) if e.is_file())
    except (OSError, ValueError):
        return None
    return next(iter(difflib.get_close_matches(path.name, names, n=1, cutoff=0.75)), None)
