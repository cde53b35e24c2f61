"""Outputs appear whole or not at all."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

from preflight.input_problem import InputProblem

_MARK = ".topsheet-folder"
_MARK_HEAD = "Written whole by topsheet; the next run replaces these files:\n"


@contextlib.contextmanager
def whole_folder(target: Path) -> Iterator[Path]:
    """Give a fresh folder to write in, and put it in place of ``target`` when all went well.

    The fresh folder lies beside the target, on the same file system, so that it is put in place
    by renaming. When the block raises, it is removed and the target stays as it was.

    Parameters
    ----------
    target : Path
        The output folder. An existing one is replaced only if this function made it.

    Yields
    ------
    Path
        The folder to write in.

    Raises
    ------
    InputProblem
        When the target is something else than an earlier output or an empty folder, or cannot
        be written.
    """
    _check_replaceable(target)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        fresh = Path(tempfile.mkdtemp(prefix=f".{target.name}.", suffix=".unfinished",
                                      dir=target.parent))
    except OSError as error:
        raise _not_writable(target, error) from None
    try:
        yield fresh
        (fresh / _MARK).write_text(_MARK_HEAD + "".join(
            f"{name}\n" for name in sorted(_files_in(fresh))), encoding="utf-8")
        fresh.chmod(0o755)
        _sync_all(fresh)
        _put_in_place(fresh, target)
    except OSError as error:
        shutil.rmtree(fresh, ignore_errors=True)
        raise _not_writable(target, error) from error
    except BaseException:
        shutil.rmtree(fresh, ignore_errors=True)
        raise


def _check_replaceable(target: Path) -> None:
    asked = "a new folder, an empty one, or one that topsheet wrote"
    if target.is_symlink() or (target.exists() and not target.is_dir()):
        raise InputProblem(where=str(target), found="something that is no folder", would_do=asked)
    try:
        taken = target.is_dir() and any(target.iterdir()) and not (target / _MARK).is_file()
        strange = _strange_files(target) if (target / _MARK).is_file() else set()
    except OSError as error:
        raise _not_writable(target, error) from None
    if taken:
        raise InputProblem(where=str(target), found="a folder with other files in it",
                           would_do=asked)
    if strange:
        raise InputProblem(where=str(target / min(strange)),
                           found="a file that topsheet did not write and will not delete",
                           would_do="another output folder, or moving that file elsewhere,")


def _files_in(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*")
            if not path.is_dir() or path.is_symlink()}


def _strange_files(target: Path) -> set[str]:
    """Files in a former output that were not written with it."""
    ours = (target / _MARK).read_text(encoding="utf-8").split("\n")[1:]
    return _files_in(target) - {*ours, _MARK}


def _put_in_place(fresh: Path, target: Path) -> None:
    if not target.exists():
        fresh.rename(target)
        return
    former = Path(tempfile.mkdtemp(prefix=f".{target.name}.", suffix=".former",
                                   dir=target.parent))
    former.rmdir()
    target.rename(former)
    try:
        fresh.rename(target)
    except OSError:
        former.rename(target)
        raise
    shutil.rmtree(former, ignore_errors=True)


def _sync_all(folder: Path) -> None:
    for path in folder.rglob("*"):
        if path.is_file():
            descriptor = os.open(path, os.O_RDONLY)
            try:
                os.fsync(descriptor)
            finally:
                os.close(descriptor)


def _not_writable(target: Path, error: OSError) -> InputProblem:
    reason = (error.strerror or "an error").lower()
    return InputProblem(where=str(target), found=f"no way to write there ({reason})",
                        would_do="a folder on a disk with room that may be written")
