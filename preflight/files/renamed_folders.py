"""One folder put in the place of another by renaming, so that there always is one.

Linux and macOS change two names in one step. Windows does not: there the old folder is moved aside
first. Only Linux was ever tried.
"""

from __future__ import annotations

import ctypes
import errno
import functools
import os
import sys
import time
from collections.abc import Callable
from pathlib import Path

_AT_FDCWD = -100
_RENAME_EXCHANGE = 2  # linux/fs.h; two names change what they stand for in one step
_RENAME_SWAP = 2  # sys/stdio.h of macOS
_CANNOT = {errno.ENOSYS, errno.EINVAL, errno.EOPNOTSUPP, errno.ENOTSUP, errno.EPERM}
#: How long (s) to wait, and wait again, for a program that looks into a folder which is to be
#: renamed: on Windows whatever looks through new files forbids it for a moment.
_WAITS_S = (0.1, 0.2, 0.4, 0.8) if sys.platform == "win32" else ()


def put_in_place(fresh: Path, target: Path, former: Path) -> None:
    """Give ``fresh`` the name ``target``; what stood there becomes ``fresh`` or ``former``.

    Parameters
    ----------
    fresh : Path
        A folder.
    target : Path
        Its place: nothing, or a folder, on the same disk.
    former : Path
        A free name beside them. Where the system cannot change two names in one step, the old
        folder has this name for a moment, and a process that is killed in that moment leaves it
        there: see `restore`.
    """
    if not target.exists():
        _rename(fresh, target)
    elif not _exchanged(fresh, target):
        try:
            _rename(target, former)
            _rename(fresh, target)
        except BaseException:
            restore(former, target)
            raise


def restore(former: Path, target: Path) -> None:
    """Put a folder back that was moved aside, if nothing has taken its place."""
    if former.exists() and not target.exists():
        _rename(former, target)


def _rename(one: Path, other: Path) -> None:
    for wait_s in _WAITS_S:
        try:
            one.rename(other)
            return
        except PermissionError:
            time.sleep(wait_s)
    one.rename(other)


def _exchanged(one: Path, other: Path) -> bool:
    rename = _system_exchange()
    if rename is None:
        return False
    fault = rename(os.fsencode(one), os.fsencode(other))
    if fault and fault not in _CANNOT:
        raise OSError(fault, os.strerror(fault), str(other))
    return not fault


@functools.cache
def _system_exchange() -> Callable[[bytes, bytes], int] | None:
    """The C library's exchange of two names, giving an error number; None where there is none."""
    try:
        library = ctypes.CDLL(None, use_errno=True)
        renames = library.renamex_np if sys.platform == "darwin" else library.renameat2
    except (OSError, AttributeError, TypeError):  # Windows takes no None for a library
        return None

    def exchange(one: bytes, other: bytes) -> int:
        if sys.platform == "darwin":
            failed = renames(one, other, ctypes.c_uint(_RENAME_SWAP))
        else:
            failed = renames(_AT_FDCWD, one, _AT_FDCWD, other, ctypes.c_uint(_RENAME_EXCHANGE))
        return ctypes.get_errno() if failed else 0

    return exchange
