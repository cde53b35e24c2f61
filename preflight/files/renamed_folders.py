"""One folder put in the place of another by renaming, so that there always is one."""

from __future__ import annotations

import ctypes
import errno
import functools
import os
from collections.abc import Callable
from pathlib import Path

_AT_FDCWD = -100
_RENAME_EXCHANGE = 2  # linux/fs.h; two names change what they stand for in one step
_CANNOT = {errno.ENOSYS, errno.EINVAL, errno.EOPNOTSUPP, errno.EPERM}


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
        fresh.rename(target)
    elif not _exchanged(fresh, target):
        try:
            target.rename(former)
            fresh.rename(target)
        except BaseException:
            restore(former, target)
            raise


def restore(former: Path, target: Path) -> None:
    """Put a folder back that was moved aside, if nothing has taken its place."""
    if former.exists() and not target.exists():
        former.rename(target)


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
    """The C library's ``renameat2``, giving an error number; None where there is none."""
    try:
        renameat2 = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError):
        return None
    renameat2.argtypes = (ctypes.c_int, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p,
                          ctypes.c_uint)

    def exchange(one: bytes, other: bytes) -> int:
        failed = renameat2(_AT_FDCWD, one, _AT_FDCWD, other, _RENAME_EXCHANGE)
        return ctypes.get_errno() if failed else 0

    return exchange
