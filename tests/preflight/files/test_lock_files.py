"""Locks for systems that cannot lock a folder do as those that can."""

from __future__ import annotations

import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from preflight.files import lock_files, locked_folders

TakeLock = Callable[[Path], Callable[[], None] | None]
WAYS = pytest.mark.parametrize("take_lock", [lock_files.take_lock, locked_folders.take_lock],
                               ids=["files", "folders"])
HOLDER = """
import sys, time
from pathlib import Path
from preflight.files.{module} import take_lock
lock = take_lock(Path(sys.argv[1]))
assert lock
print("held", flush=True)
time.sleep(60)
"""


@pytest.fixture(autouse=True)
def own_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "temporary").mkdir()
    monkeypatch.setenv("TMPDIR", str(tmp_path / "temporary"))
    monkeypatch.setattr("tempfile.tempdir", None)


@WAYS
def test_a_lock_is_held_by_one(take_lock: TakeLock, tmp_path: Path) -> None:
    (tmp_path / "one").mkdir()
    (tmp_path / "two").mkdir()
    release = take_lock(tmp_path / "one")
    assert release
    with pytest.raises(BlockingIOError):
        take_lock(tmp_path / "one" / ".." / "one")
    other = take_lock(tmp_path / "two")
    assert other
    other()
    release()
    again = take_lock(tmp_path / "one")
    assert again
    again()
    assert not list((tmp_path / "one").iterdir())
    assert not list((tmp_path / "temporary").iterdir())


@WAYS
def test_there_is_no_lock_on_nothing(take_lock: TakeLock, tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        take_lock(tmp_path / "none")


@WAYS
def test_a_killed_holder_holds_no_longer(take_lock: TakeLock, tmp_path: Path) -> None:
    code = HOLDER.format(module=take_lock.__module__.rpartition(".")[2])
    with subprocess.Popen([sys.executable, "-c", code, tmp_path], stdout=subprocess.PIPE) as child:
        assert child.stdout
        assert child.stdout.readline() == b"held\n"
        with pytest.raises(BlockingIOError):
            take_lock(tmp_path)
        child.send_signal(signal.SIGKILL)
    release = take_lock(tmp_path)
    assert release
    release()
