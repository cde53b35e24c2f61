"""The end of a run that cannot go on: one sentence, the right status, nothing left behind."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import pytest
import tifffile

from preflight.input_problem import InputProblem
from separations import command_line
from separations.commands.exit_sentences import exit_sentence
from separations.commands.stop_signals import Stopped
from tests.small_art import write_small_job

ROOT = Path(__file__).parents[2]
COMMAND = [sys.executable, "-c", "from separations.command_line import main; main()"]
SMALL = (('"600 dpi"', '"200 dpi"'), ('"45 lpi"', '"14 lpi"'))


@pytest.mark.parametrize(("fault", "status", "words"), [
    (InputProblem(where="a", found="b", would_do="c"), 2, "a: found b; c would do."),
    (MemoryError(), 2, "too little free memory"),
    (RuntimeError("can't start new thread"), 2, "too little free memory"),
    (OSError(12, "Cannot allocate memory"), 2, "too little free memory"),
    (OSError(28, "No space left on device"), 2, "found no room"),
    (Stopped(15), 143, "Stopped; no output"), (Stopped(1), 129, "Stopped; no output"),
    (KeyboardInterrupt(), 130, "Stopped; no output"), (SystemExit(1), 1, ""),
    (ZeroDivisionError("x"), 70, "a fault of its own (ZeroDivisionError)"),
    (RecursionError(), 70, "a fault of its own")])
def test_each_fault_has_its_words(
    fault: BaseException, status: int, words: str, tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    said, left = exit_sentence(fault)
    assert left == status
    assert words in said
    assert "Traceback" not in said
    assert "\n" not in said


def test_where_no_file_about_a_fault_can_be_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tempfile, "tempdir", "/proc/none")
    said, status = exit_sentence(ZeroDivisionError())
    assert status == 70
    assert "set TMPDIR" in said


@pytest.mark.parametrize(("fault", "status", "words"), [
    (MemoryError(), 2, "too little free memory"), (ZeroDivisionError(), 70, "of its own"),
    (cv2.error("OpenCV: Insufficient memory"), 2, "too little free memory")])
def test_a_fault_in_a_worker_is_told_the_same(
    tmp_path: Path, fault: Exception, status: int, words: str, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    def fail(*_: object) -> None:
        assert threading.current_thread() is not threading.main_thread()
        raise fault

    job = write_small_job(tmp_path / "job", *SMALL)
    monkeypatch.setattr("separations.films.film_images.screen_region", fail)
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    monkeypatch.setattr("sys.argv", ["topsheet", "films", str(job), "--despite-stops"])
    with pytest.raises(SystemExit) as leave:
        command_line.main()
    said = capsys.readouterr().err
    assert leave.value.code == status
    assert words in said.splitlines()[-1]
    assert "Traceback" not in said
    assert sorted(p.name for p in job.parent.iterdir()) == ["lines.png", "marsh.toml", "photo.png"]


def test_nobody_reads_what_is_said(tmp_path: Path) -> None:
    job = write_small_job(tmp_path / "job", *SMALL)
    out, into = os.pipe()
    os.close(out)
    with subprocess.Popen([*COMMAND, "check", job], cwd=ROOT, text=True, stdout=into,
                          stderr=subprocess.PIPE) as run:
        os.close(into)
        said = run.communicate()[1]
    assert run.returncode == 141, said
    assert "Traceback" not in said
    assert "Exception ignored" not in said


def test_what_is_said_goes_to_a_full_disk(tmp_path: Path) -> None:
    job = write_small_job(tmp_path / "job", *SMALL)
    with open("/dev/full", "w") as full:  # noqa: PTH123
        done = subprocess.run([*COMMAND, "check", job], cwd=ROOT, stdout=full,
                              stderr=subprocess.PIPE, text=True, check=False)
    assert done.returncode == 2
    assert "found no room" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("words", [("check", "none.toml"), ("chek",), ("check", "bad.toml")])
def test_a_full_disk_behind_the_sentence_changes_no_status(
    tmp_path: Path, words: tuple[str, ...]
) -> None:
    write_small_job(tmp_path / "job", *SMALL, ('"120/cm"', '"none"')).rename(tmp_path / "bad.toml")
    with open("/dev/full", "w") as full:  # noqa: PTH123
        done = subprocess.run([*COMMAND, *words], cwd=tmp_path, stdout=full, stderr=full,
                              env={**os.environ, "PYTHONPATH": str(ROOT)}, check=False)
    assert done.returncode == 2


@pytest.mark.long
def test_a_full_disk_behind_the_words_stops_no_work(tmp_path: Path) -> None:
    job = write_small_job(tmp_path / "job", *SMALL)
    with open("/dev/full", "w") as full:  # noqa: PTH123
        done = subprocess.run([*COMMAND, "proof", job, "--out", tmp_path / "a"], cwd=ROOT,
                              stdout=subprocess.DEVNULL, stderr=full, check=False)
    assert done.returncode == 0
    assert (tmp_path / "a" / "proof.png").exists()


@pytest.mark.parametrize("home", [
    "/dev/null", "none", *(pytest.param(home, marks=pytest.mark.long)
                           for home in ("/dev/null/x", "round", ""))])
def test_a_home_that_is_no_folder(tmp_path: Path, home: str) -> None:
    job = write_small_job(tmp_path / "job", *SMALL)
    (tmp_path / "round").symlink_to("round")
    done = subprocess.run([*COMMAND, "check", job], cwd=tmp_path, capture_output=True, text=True,
                          check=False, env={**os.environ, "HOME": home, "PYTHONPATH": str(ROOT),
                                            "TMPDIR": str(tmp_path)})
    assert done.returncode == 0, done.stderr
    assert sorted(p.name for p in tmp_path.iterdir()) == ["job", "round"]


@pytest.mark.long
def test_an_output_that_is_a_link_to_itself(tmp_path: Path) -> None:
    job = write_small_job(tmp_path / "job", *SMALL)
    (tmp_path / "round").symlink_to("round")
    for words in (["proof", job, "--out", "round"], ["run", job, "--out", "round/x"],
                  ["outline", job, "--out", "round"], ["wedge", job, "--out", "round"],
                  ["check", "--mend", job, "--out", "round/new.toml"], ["new", "round"],
                  ["inks", job, "--stock", job, "--out", "round"], ["gang", job, "--out", "round"]):
        done = subprocess.run([*COMMAND, *words], cwd=tmp_path, capture_output=True, text=True,
                              check=False, env={**os.environ, "PYTHONPATH": str(ROOT)})
        assert done.returncode == 2, (words, done.stderr)
        assert len(done.stderr.splitlines()) == 1
        assert "Traceback" not in done.stderr


def test_libraries_keep_their_words_to_themselves(tmp_path: Path) -> None:
    job = write_small_job(tmp_path / "job", *SMALL, ('"photo.png"', '"many.tif"'))
    tifffile.imwrite(job.parent / "many.tif", np.zeros((20, 20, 40), np.uint8),
                     photometric="minisblack", planarconfig="contig")
    done = subprocess.run([*COMMAND, "check", job], cwd=ROOT, capture_output=True, text=True,
                          check=False)
    assert done.returncode == 2
    assert done.stderr.startswith(f"{job.parent / 'many.tif'}: found")
    assert len(done.stderr.splitlines()) == 1


def test_a_terminal_without_letters(tmp_path: Path) -> None:
    job = write_small_job(tmp_path / "jöb é", *SMALL)
    done = subprocess.run([*COMMAND, "check", job], cwd=ROOT, capture_output=True, check=False,
                          env={**os.environ, "PYTHONIOENCODING": "ascii"})
    assert done.returncode in (0, 1), done.stderr
    assert b"checks passed" in done.stdout


@pytest.mark.parametrize("mib", [200, 2000])
def test_too_low_a_memory_limit_is_told(tmp_path: Path, mib: int) -> None:
    job = write_small_job(tmp_path / "job")

    def limited() -> None:
        resource.setrlimit(resource.RLIMIT_AS, (mib * 2**20, mib * 2**20))

    done = subprocess.run([*COMMAND, "run", job], cwd=ROOT, capture_output=True, text=True,
                          check=False, preexec_fn=limited)
    assert done.returncode == 2, done.stderr[-500:]
    assert "memory" in done.stderr.splitlines()[-1]
    assert "Traceback" not in done.stderr
    assert sorted(p.name for p in job.parent.iterdir()) == ["lines.png", "marsh.toml", "photo.png"]


def test_two_runs_into_one_folder(tmp_path: Path) -> None:
    job = write_small_job(tmp_path / "job", *SMALL)
    words = [*COMMAND, "run", str(job), "--despite-stops"]
    runs = [subprocess.Popen(words, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                             text=True) for _ in range(2)]
    said = [run.communicate()[1] for run in runs]
    for run, words_said in zip(runs, said, strict=True):
        assert run.returncode in (0, 2), words_said
        if run.returncode == 2:
            assert "found another run that is writing there now" in words_said
    assert [run.returncode for run in runs].count(0) >= 1
    names = sorted(p.name for p in job.parent.iterdir())
    assert names == ["lines.png", "marsh-out", "marsh.toml", "photo.png"]


def test_nothing_is_sent_anywhere(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("a socket was opened")

    for name in ("socket", "create_connection", "getaddrinfo"):
        monkeypatch.setattr(f"socket.{name}", refuse)
    forbidden = _forbid_sockets()
    job = write_small_job(tmp_path / "job", *SMALL)
    monkeypatch.setattr("sys.argv", ["topsheet", "run", str(job), "--despite-stops"])
    command_line.main()
    forbidden(False)
    assert "Wrote" in capsys.readouterr().out


def _forbid_sockets() -> Callable[[bool], None]:
    """Make every socket of this process a fault, whoever opens it, until told otherwise."""
    active = [True]

    def hook(event: str, _arguments: object) -> None:
        if active[0] and event.startswith("socket."):
            raise AssertionError(event)

    def switch(on: bool) -> None:
        active[0] = on

    sys.addaudithook(hook)
    return switch
