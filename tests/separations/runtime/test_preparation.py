"""Kernels are compiled before they are needed, by several processes, and whatever fails waits."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import psutil
import pytest

from preflight.files.folder_locks import held
from separations.runtime import preparation
from separations.runtime.first_kernels import (
    KernelGroup,
    first_kernels,
    is_prepared,
    kept_folder,
    note_prepared,
)
from separations.runtime.preparation import OWN_BYTES, WORKER_BYTES, prepare_kernels, workers_for
from tests.kernel_table import groups_of

FILL, LAY = "separations.halftone.packed_rows:fill_runs", "separations.planes.cover_kernel:lay_over"
AMPLE = 16 * 2**30


class Told:
    """What a preparation tells."""

    def __init__(self) -> None:
        self.begun = 0
        self.last = (-1.0, -1.0)

    def begin(self) -> None:
        self.begun += 1

    def progress(self, done: float, whole: float) -> None:
        self.last = done, whole


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A folder for compiled code with nothing in it, and two small kernels to compile."""
    small = [group for group in first_kernels() if {FILL, LAY} & set(group.kernels)]
    assert len(small) == 2
    monkeypatch.setattr(preparation, "first_kernels", lambda: tuple(small))
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path / "kept"))
    yield tmp_path / "kept"
    assert not psutil.Process().children()


def compiled(folder: Path) -> set[str]:
    return {path.name.split("-")[0] for path in folder.rglob("*.nbi")}


def test_both_are_compiled_once(kept: Path) -> None:
    told = Told()
    assert not is_prepared()
    prepare_kernels(told.begin, told.progress, AMPLE)
    assert is_prepared()
    assert compiled(kept) >= {"packed_rows.fill_runs", "cover_kernel.lay_over"}
    prepare_kernels(told.begin, told.progress, AMPLE)
    assert told.begun == 1


def test_a_table_of_other_kernels_or_another_module_is_prepared_anew(
        kept: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    note_prepared()
    assert is_prepared()
    other = tmp_path / "table.json"
    other.write_text("[]", encoding="utf-8")
    monkeypatch.setattr("separations.runtime.first_kernels.TABLE", other)
    assert not is_prepared()
    assert kept.is_dir()


def test_what_cannot_be_compiled_so_is_left_alone(
        kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    wrong = KernelGroup(1.0, {"separations.no_such_module:none": [["int64"]],
                              FILL: [["no such type"]]})
    monkeypatch.setattr(preparation, "first_kernels", lambda: (wrong,))
    prepare_kernels(lambda: None, Told().progress, AMPLE)
    assert is_prepared()
    assert not compiled(kept)


def test_where_nothing_can_be_kept_the_command_goes_on(
        kept: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path / "file" / "within"))
    told = Told()
    prepare_kernels(told.begin, told.progress, AMPLE)
    assert told.begun == 1
    assert not is_prepared()
    assert not kept.exists()


def test_without_further_processes_the_command_goes_on(
        kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def none() -> subprocess.Popen[str]:
        raise BlockingIOError

    monkeypatch.setattr(preparation, "_started", none)
    prepare_kernels(lambda: None, Told().progress, AMPLE)
    assert not is_prepared()
    assert kept.is_dir()


def test_of_two_at_once_the_second_waits_and_compiles_nothing(kept: Path) -> None:
    told = Told()
    begun = threading.Event()

    def begin() -> None:
        begun.set()

    with held(kept_folder()):
        second = threading.Thread(target=prepare_kernels, args=(begin, told.progress, AMPLE))
        second.start()
        assert begun.wait(10)
        second.join(0.3)
        assert second.is_alive()
        note_prepared()
    second.join(10)
    assert not second.is_alive()
    assert told.last == (-1.0, -1.0)
    assert not compiled(kept)


def test_a_stop_ends_the_processes_and_another_command_may_begin(kept: Path) -> None:
    def stop(_done: float, _whole: float) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        prepare_kernels(lambda: None, stop, AMPLE)
    assert not psutil.Process().children()
    assert not is_prepared()
    with held(kept):
        pass


def test_a_process_ends_with_the_one_that_began_it() -> None:
    worker = preparation._started()
    with worker:
        assert worker.stdin
        worker.stdin.close()
        assert worker.wait(60) == 0


@pytest.mark.parametrize(("cores", "bound", "workers"), [
    (1, AMPLE, 1), (2, AMPLE, 2), (16, AMPLE, 3), (2, OWN_BYTES + 2 * WORKER_BYTES, 2),
    (2, OWN_BYTES + 2 * WORKER_BYTES - 1, 1), (2, 512 * 2**20, 1), (2, 0, 1)])
def test_as_many_processes_as_cores_and_memory_bear(
        cores: int, bound: int, workers: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(preparation, "processors", lambda: cores)
    monkeypatch.setattr("psutil.virtual_memory", lambda: type("Told", (), {"available": AMPLE}))
    assert workers_for(bound) == workers


def test_kernels_that_share_what_they_call_stand_in_one_group() -> None:
    """Two processes never write the code of one kernel for two sets of types at once."""
    told = [set(group.kernels) for group in first_kernels()]
    found = [set(group) for group in groups_of(sorted(set().union(*told)))]
    assert sorted(map(sorted, told)) == sorted(map(sorted, found))


def test_the_table_has_what_a_check_calls() -> None:
    program = ("import json, sys\n"
               "from pathlib import Path\n"
               "from separations.pipeline.calls import check_job\n"
               "from separations.runtime.first_kernels import first_kernels\n"
               "from tests.kernel_table import called_kernels\n"
               "check_job(Path('demo_art/fen_lane_158.toml'))\n"
               "table = {n: t for g in first_kernels() for n, t in g.kernels.items()}\n"
               "print(json.dumps([[n, t] for n, told in called_kernels().items()\n"
               "                  for t in told if t not in table.get(n, [])]))\n")
    root = Path(__file__).parents[3]
    for _ in range(2):  # what is compiled in this process shows inner kernels too
        done = subprocess.run([sys.executable, "-c", program], check=True, text=True, cwd=root,
                              capture_output=True, env={**os.environ, "PYTHONPATH": str(root)})
        if done.stdout.strip() == "[]":
            return
    pytest.fail(f"python -m tests.kernel_table makes the table anew for {done.stdout}")
