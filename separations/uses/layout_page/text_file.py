"""The job file itself: read, written whole or not at all, and watched for other hands."""

from __future__ import annotations

import contextlib
import os
import re
import secrets
from dataclasses import dataclass
from pathlib import Path

from preflight.files.disk_sync import sync
from preflight.files.regular_files import bytes_of
from preflight.files.whole_files import not_writable
from preflight.input_problem import InputProblem

_MOST_BYTES = 1_000_000
_BOM = "\ufeff"


@dataclass(frozen=True, slots=True)
class FileText:
    """What a job file holds, and how its lines end.

    Attributes
    ----------
    text : str
        With plain line ends.
    ends : str
        As the file has them.
    bom : bool
        Whether a byte order mark leads it.
    """

    text: str
    ends: str = "\n"
    bom: bool = False

    def coded(self, text: str) -> bytes:
        """Another text as this file's bytes would be."""
        return ((_BOM if self.bom else "") + text.replace("\n", self.ends)).encode("utf-8")


def read_text(path: Path) -> FileText:
    """Read a job file.

    Raises
    ------
    InputProblem
        When it cannot be read or is no UTF-8 text.
    """
    asked = "a job file in TOML, under 1 MB and in UTF-8,"
    try:
        text = bytes_of(path, _MOST_BYTES, would_do=asked).decode("utf-8")
    except UnicodeDecodeError:
        raise InputProblem(where=str(path), found="bytes that are no UTF-8 text",
                           would_do=asked) from None
    bom = text.startswith(_BOM)
    ends = "\r\n" if "\r\n" in text else "\n"
    return FileText(text.removeprefix(_BOM).replace("\r\n", "\n"), ends, bom)


def write_text(path: Path, content: bytes) -> None:
    """Put a text in a file's place, whole or not at all; links are followed.

    Raises
    ------
    InputProblem
        When it cannot be written.
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
        fresh.replace(target)
        with contextlib.suppress(OSError):  # not every disk can
            sync(target.parent)
    except OSError as fault:
        raise not_writable(path, fault) from fault
    finally:
        with contextlib.suppress(OSError):
            fresh.unlink(missing_ok=True)


def keep_aside(path: Path) -> None:
    """Copy what another hand made of a job file beside it, before it is written over."""
    raw = path.read_bytes() if path.is_file() else b""
    number = 1
    while raw:
        try:
            with path.with_name(f"{path.stem}-other-{number}{path.suffix}").open("xb") as stream:
                stream.write(raw)
            return
        except FileExistsError:
            number += 1


def sweep(path: Path) -> None:
    """Remove what a killed server left half-written beside a job file."""
    ours = re.compile(re.escape(f".{path.name}.") + r"[0-9a-f]{8}\.unfinished")
    for left in path.parent.iterdir():
        if ours.fullmatch(left.name) and left.is_file() and not left.is_symlink():
            left.unlink(missing_ok=True)
