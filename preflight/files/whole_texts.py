"""Single text files that appear whole or not at all, whenever a process ends."""

from __future__ import annotations

import contextlib
import os
import re
import secrets
from pathlib import Path

from preflight.files.disk_sync import sync
from preflight.files.whole_files import not_writable


def write_text(path: Path, content: bytes, *, new: bool = False) -> None:
    """Put a text in a file's place, whole or not at all; links are followed.

    Parameters
    ----------
    path : Path
        The file.
    content : bytes
        What it is to hold.
    new : bool
        Whether there must be no such file yet.

    Raises
    ------
    InputProblem
        When it cannot be written.
    FileExistsError
        When there is a file that there must not be.
    """
    target = path.resolve()
    fresh = target.with_name(f".{target.name}.{secrets.token_hex(4)}.unfinished")
    try:
        sweep(target)
        mode = target.stat().st_mode & 0o777 if target.exists() else 0o644
        descriptor = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL
                             | getattr(os, "O_BINARY", 0), mode)
        with os.fdopen(descriptor, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        fresh.chmod(mode)
        if new:
            _place_new(fresh, target)
        else:
            fresh.replace(target)
        with contextlib.suppress(OSError):  # not every disk can
            sync(target.parent)
    except FileExistsError:
        raise
    except OSError as fault:
        raise not_writable(path, fault) from fault
    finally:
        with contextlib.suppress(OSError):
            fresh.unlink(missing_ok=True)


def _place_new(fresh: Path, target: Path) -> None:
    """Give a written file its name, unless somebody has it by now."""
    try:
        os.link(fresh, target)
    except FileExistsError:
        raise
    except OSError:  # a disk without links
        if target.exists():
            raise FileExistsError from None
        fresh.rename(target)


def sweep(path: Path) -> None:
    """Remove what a killed process left half-written beside a file."""
    ours = re.compile(re.escape(f".{path.name}.") + r"[0-9a-f]{8}\.unfinished")
    for left in path.parent.iterdir():
        if ours.fullmatch(left.name) and left.is_file() and not left.is_symlink():
            left.unlink(missing_ok=True)
