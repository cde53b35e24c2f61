"""The command's words, statuses and default folders."""

from __future__ import annotations

import gc
from collections.abc import Callable
from pathlib import Path

import pytest

from preflight.job_file.job_reader import read_job
from separations import command_line

Write = Callable[..., Path]


@pytest.fixture
def call(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., tuple[int, str, str]]:
    """Runs the command in this process: status, what it said, what it complained of."""

    def run(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr("sys.argv", ["topsheet", *map(str, words)])
        status = 0
        try:
            command_line.main()
        except SystemExit as leave:
            status = int(leave.code or 0)
        said = capsys.readouterr()
        return status, said.out, said.err

    return run


Call = Callable[..., tuple[int, str, str]]


def test_check_says_what_is_not_in_order_and_writes_nothing(call: Call, small_job: Write) -> None:
    job = small_job()
    status, out, _ = call("check", job)
    assert status == 0
    assert "care  Pixels for line work, lines.png" in out
    assert "checks passed." in out
    assert sorted(p.name for p in job.parent.iterdir()) == ["lines.png", "marsh.toml", "photo.png"]


def test_a_stop_is_status_1_and_comes_first(call: Call, small_job: Write) -> None:
    status, out, _ = call("check", small_job(("140 °C", "30 °C")))
    assert status == 1
    assert out.startswith("stop  Heat of the press, Yellow")


def test_bad_input_is_status_2_and_one_sentence(call: Call, small_job: Write) -> None:
    job = small_job(('"45 lpi"', '"45 lppi"'))
    for words in (("check", job), ("run", job), ("proof", job), ("films", job), ("ink", job)):
        status, out, err = call(*words)
        assert (status, out) == (2, "")
        assert err == (f"{job}: halftone.ruling: found '45 lppi'; a ruling such as '45 lpi' or "
                       "'18 l/cm', between 2 and 80 lines/cm, would do.\n")
    assert call("check", job.with_name("none.toml"))[0] == 2
    assert call("chek", job)[0] == 2
    assert call("check")[0] == 2


def test_the_lesser_commands_write_beside_the_job(call: Call, small_job: Write) -> None:
    job = small_job()
    assert call("ink", job)[0] == 0
    assert call("proof", job)[0] == 0
    assert {p.name for p in job.parent.iterdir() if p.is_dir()} == {"marsh-ink", "marsh-proof"}


def test_films_come_with_the_cautions(call: Call, small_job: Write) -> None:
    job = small_job()
    assert "two-part varnish and the hot press can hurt you" in call("films", job)[1]
    assert "hurt you" not in call("check", job)[1]


def test_a_starter_job_reads(call: Call, tmp_path: Path) -> None:
    folder = tmp_path / "mine"
    assert call("new", folder)[0] == 0
    assert sorted(p.name for p in folder.iterdir()) == [
        "estuary_and_heath.jpg", "estuary_lines.png", "fen_lane_158.toml", "fen_lane_stock.toml",
        "gang_schema.json", "job_schema.json", "stock_schema.json"]
    assert read_job(folder / "fen_lane_158.toml").board.name == "Fen Lane 158"
    status, _, err = call("new", folder)
    assert status == 2
    assert "something there already" in err
    assert [p.name for p in tmp_path.iterdir()] == ["mine"]


def test_our_own_fault_is_status_70_without_a_traceback(
    call: Call, small_job: Write, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def fail(_path: Path) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("separations.pipeline.calls.check_job", fail)
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    status, _, err = call("check", small_job())
    assert status == 70
    assert "Traceback" not in err
    assert "fault of its own (ZeroDivisionError)" in err
    kept = next(tmp_path.glob("topsheet-fault-*.txt"))
    assert "ZeroDivisionError" in kept.read_text(encoding="utf-8")


def test_names_cannot_command_a_terminal(call: Call, small_job: Write) -> None:
    job = small_job()
    text = job.read_text(encoding="utf-8")
    job.write_text(text.replace('name = "Cyan"', 'name = "Cy\\u001b[2Jan"'), encoding="utf-8")
    status, _, err = call("check", job)
    assert status == 2
    assert "\x1b" not in err


def test_rings_of_objects_are_looked_for_seldom(call: Call) -> None:
    before = gc.get_threshold()
    try:
        assert call("--version")[0] == 0
        assert gc.get_threshold()[0] > 20 * 700  # the usual number
    finally:
        gc.set_threshold(*before)
