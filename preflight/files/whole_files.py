"""Outputs appear whole or not at all."""

from __future__ import annotations

import contextlib
import re
import secrets
import shutil
from collections.abc import Iterator
from pathlib import Path

from preflight.files.disk_sync import sync
from preflight.files.folder_locks import FolderTaken, held, held_in_turn, is_ownerless
from preflight.files.output_list import changed_files, has_list, strange_files, write_list
from preflight.files.output_places import settled
from preflight.files.renamed_folders import put_in_place, restore
from preflight.input_problem import InputProblem


class OutputTaken(InputProblem):
    """Another run is writing to the same target; once it has ended there is a way."""


@contextlib.contextmanager
def whole_folder(target: Path) -> Iterator[Path]:
    """Give a fresh folder to write in, and put it in place of ``target`` when all went well.

    The fresh folder lies beside the target, on the same file system, so that it is put in place
    by renaming. When the block raises, it is removed and the target stays as it was. What a run
    that was killed left behind, the next one to the same target removes or restores.

    Parameters
    ----------
    target : Path
        The output folder. An existing one is replaced only if this function made it, and nobody
        added or changed a file since.

    Yields
    ------
    Path
        The folder to write in.

    Raises
    ------
    InputProblem
        When the target is something else than an earlier output or an empty folder, cannot
        be written, or (`OutputTaken`) is being written by another run.
    """
    target = settled(target)
    with fresh_folder(target) as fresh:
        _check_replaceable(target)
        yield fresh
        write_list(fresh)
        fresh.chmod(0o755)
        _sync_all(fresh)
        _check_replaceable(target)  # it may have changed since writing began
        former = fresh.with_suffix(".former")
        put_in_place(fresh, target, former)
        sync(target.parent)
        shutil.rmtree(former, ignore_errors=True)


@contextlib.contextmanager
def fresh_folder(target: Path) -> Iterator[Path]:
    """Give an empty folder beside ``target`` that only this run may write.

    It is removed at the end of the block, unless the block gave it another name; so are folders
    that had to be made to hold it, as far as nothing is in them.

    Raises
    ------
    InputProblem
        When the place cannot be written.
    OutputTaken
        When another run writes to the same target.
    """
    target = settled(target)
    made = [folder for folder in target.parents if not folder.exists()]
    fresh = target.with_name(f".{target.name}.{secrets.token_hex(4)}.unfinished")
    with contextlib.ExitStack() as ours:
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            with held_in_turn(target.parent):
                _clear_up_after_killed_runs(target)
                fresh.mkdir(mode=0o700)
                ours.enter_context(held(fresh))
            yield fresh
        except BrokenPipeError:  # the reading end was closed: no fault of the disk
            raise
        except OSError as fault:
            raise not_writable(target, fault) from fault
        except FolderTaken:
            raise _taken(target) from None
        finally:
            shutil.rmtree(fresh, ignore_errors=True)
            with contextlib.suppress(OSError):
                for folder in made:
                    folder.rmdir()


def not_writable(target: Path, fault: OSError) -> InputProblem:
    """The `InputProblem` of a place that cannot be written."""
    reason = (fault.strerror or "an error").lower()
    return InputProblem(where=str(target), found=f"no way to write there ({reason})",
                        would_do="a folder that may be written, on a disk with room")


def _check_replaceable(target: Path) -> None:
    asked = "a new folder, an empty one, or one that topsheet wrote"
    if target.is_symlink() or (target.exists() and not target.is_dir()):
        raise InputProblem(where=str(target), found="something that is not a folder",
                           would_do=asked)
    if not target.is_dir() or not any(target.iterdir()):
        return
    if not has_list(target):
        raise InputProblem(where=str(target), found="a folder with other files in it",
                           would_do=asked)
    for names, found in (
            (strange_files(target), "a file that topsheet did not write and will not delete"),
            (changed_files(target), "a file of topsheet's that was changed since")):
        if names:
            raise InputProblem(where=str(target / names[0]), found=found,
                               would_do="another output folder, or moving that file elsewhere,")


def _clear_up_after_killed_runs(target: Path) -> None:
    """Restore a former output that was moved aside, and remove what nobody writes any more."""
    ours = re.compile(re.escape(f".{target.name}.") + r"[0-9a-z_]{8}\.(unfinished|former)")
    left = sorted(path for path in target.parent.iterdir() if ours.fullmatch(path.name)
                  and path.is_dir() and not path.is_symlink())
    if not all(is_ownerless(path) for path in left if path.suffix == ".unfinished"):
        raise _taken(target)
    for path in left:
        if path.suffix == ".former":
            restore(path, target)
        shutil.rmtree(path, ignore_errors=True)


def _taken(target: Path) -> OutputTaken:
    return OutputTaken(where=str(target), found="another run that is writing there now",
                       would_do="another output folder, or waiting for that run's end,")


def _sync_all(folder: Path) -> None:
    for path in (*folder.rglob("*"), folder):
        if not path.is_symlink():
            sync(path)
