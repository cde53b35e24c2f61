"""The list of files that a run wrote: how the next run knows what it may replace."""

from __future__ import annotations

import hashlib
from pathlib import Path

LIST_NAME = ".topsheet-folder"
_HEAD = "Written whole by topsheet; the next run replaces these files:"
#: Files up to this many bytes are known by their content, larger ones by their size.
_MOST_HASHED = 4_000_000


def write_list(folder: Path) -> None:
    """Write the list of a finished folder into it."""
    lines = [f"{_mark_of(folder / name)}  {name}" for name in sorted(_files_in(folder))]
    (folder / LIST_NAME).write_text("\n".join([_HEAD, *lines, ""]), encoding="utf-8",
                                    errors="surrogateescape", newline="\n")


def has_list(folder: Path) -> bool:
    """Whether a run wrote this folder."""
    return (folder / LIST_NAME).is_file()


def listed_files(folder: Path) -> list[str]:
    """The files that a run wrote into its folder and that are there, never one outside it."""
    if not has_list(folder):
        return []
    inside = folder.resolve()
    return sorted(name for name in _listed(folder) if (folder / name).is_file()
                  and (folder / name).resolve().is_relative_to(inside))


def strange_files(folder: Path) -> list[str]:
    """Files in a run's folder that the run did not write."""
    return sorted(_files_in(folder) - {*_listed(folder), LIST_NAME})


def changed_files(folder: Path) -> list[str]:
    """Files that the run wrote and somebody has changed since."""
    return [name for name, mark in sorted(_listed(folder).items())
            if mark and (folder / name).is_file() and _mark_of(folder / name) != mark]


def is_as_written(folder: Path) -> bool:
    """Whether a run wrote this folder and every file of it is still there and unchanged."""
    return (has_list(folder) and all((folder / name).is_file() for name in _listed(folder))
            and not changed_files(folder))


def _listed(folder: Path) -> dict[str, str]:
    """Each listed file's mark; empty where an older list names the file only."""
    text = (folder / LIST_NAME).read_text(encoding="utf-8", errors="surrogateescape")
    found = {}
    for line in filter(None, text.split("\n")[1:]):
        mark, gap, name = line.partition("  ")
        found.update({name: mark} if gap else {line: ""})
    return found


def _mark_of(path: Path) -> str:
    if path.is_symlink() or path.stat().st_size > _MOST_HASHED:
        return f"{path.lstat().st_size}-bytes"
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _files_in(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*")
            if not path.is_dir() or path.is_symlink()}
