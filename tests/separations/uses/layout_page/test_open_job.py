"""The open job: edits, taking back, saving, other hands, and what outlives a kill."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from preflight.input_problem import InputProblem
from separations.uses.layout_page.history_journal import journal_of
from separations.uses.layout_page.open_job import OpenJob, StaleEdit
from tests.small_art import write_small_job

ROOT = Path(__file__).parents[4]


def moved(mm: float) -> list[dict[str, Any]]:
    return [{"set": ["art", 0, "offset_along"], "to": f"{mm:g} mm"}]


def along(text: str) -> str | None:
    value: str | None = tomllib.loads(text)["art"][0].get("offset_along")
    return value


@pytest.fixture
def path(small_job: Callable[..., Path]) -> Path:
    return small_job()


def test_edits_are_taken_back_and_made_again_without_end(path: Path) -> None:
    job = OpenJob(path)
    texts = [job.now().text]
    for step in range(1, 60):
        job.edit(moved(step), f"moved by {step}", job.revision)
        texts.append(job.now().text)
    assert job.now().undoes == "moved by 59"
    for text in texts[-2::-1]:
        job.move(-1)
        assert job.now().text == text
    assert job.now().undoes is None
    assert not job.now().unsaved
    job.move(-1)  # nothing more to take back
    for text in texts[1:]:
        job.move(1)
        assert job.now().text == text
    assert job.now().redoes is None
    job.move(-1)
    job.edit(moved(7), "another way", job.revision)
    assert job.now().redoes is None
    job.close()


def test_an_edit_that_makes_no_job_changes_nothing(path: Path) -> None:
    job = OpenJob(path)
    before = job.now()
    for edits, found in (
            ([{"set": ["art", 0, "turn"], "to": "sideways"}], "art[1].turn"),
            ([{"set": ["art", 9, "turn"], "to": 3}], "art[10].turn"),
            ([{"set": ["colour"], "to": 3}], "colour"),
            ([*moved(3), {"remove": "ink", "at": 0}, {"remove": "ink", "at": 0},
              {"remove": "ink", "at": 0}, {"remove": "ink", "at": 0}], "ink"),
            ([{"set": ["art", 0, "file"], "to": 5}], "art[1].file"), ([{"shout": 1}], "the page"),
            ([], "the page")):
        with pytest.raises(InputProblem) as fault:
            job.edit(edits, "", job.revision)
        assert found in fault.value.where
        assert job.now() == before
    job.close()


def test_edits_meant_for_other_tables_are_refused(path: Path) -> None:
    job = OpenJob(path)
    early = job.revision
    job.edit(moved(1), "moved", early)
    job.edit(moved(2), "moved meanwhile, the same tables", early)
    job.edit([{"add": "note", "keys": {"text": "Weir", "at": ["0 mm", "0 mm"], "ink": "Black"}}],
             "a note", early)
    with pytest.raises(StaleEdit):
        job.edit([{"remove": "art", "at": 1}], "removed", early)
    assert along(job.now().text) == "2 mm"
    job.close()


def test_saving_writes_the_text_with_its_comments_and_line_ends(path: Path) -> None:
    text = path.read_text(encoding="utf-8").replace("turn = 90", "turn = 90  # lying", 1)
    path.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    path.chmod(0o640)
    job = OpenJob(path)
    job.edit(moved(12.5), "moved", job.revision)
    job.save()
    raw = path.read_bytes()
    assert raw.startswith(b"\xef\xbb\xbf")
    assert raw.count(b"\n") == raw.count(b"\r\n")
    assert b"turn = 90  # lying\r\n" in raw
    assert b'offset_along = "12.5 mm"\r\n' in raw
    assert path.stat().st_mode & 0o777 == 0o640
    assert not job.now().unsaved
    job.move(-1)
    assert job.now().unsaved
    job.close()


def test_unsaved_edits_outlive_the_server_and_saved_ones_leave_no_journal(path: Path) -> None:
    job = OpenJob(path)
    for step in (1, 2, 3):
        job.edit(moved(step), f"moved by {step}", job.revision)
    job.move(-1)
    job.close()
    assert journal_of(path).stat().st_mode & 0o777 == 0o600
    again = OpenJob(path)
    now = again.now()
    assert along(now.text) == "2 mm"
    assert now.unsaved
    assert (now.undoes, now.redoes) == ("moved by 2", "moved by 3")
    assert "taken up again" in now.remark
    again.save()
    again.close()
    assert not journal_of(path).exists()
    assert along(path.read_text(encoding="utf-8")) == "2 mm"


def test_a_journal_cut_off_in_its_last_record_loses_that_record_alone(path: Path) -> None:
    job = OpenJob(path)
    for step in (1, 2):
        job.edit(moved(step), "moved", job.revision)
    journal = journal_of(path)
    whole = journal.read_bytes()
    job.close()
    for kept in (len(whole) - 1, len(whole) - 40):
        journal.write_bytes(whole[:kept])
        again = OpenJob(path)
        assert along(again.now().text) == ("1 mm" if kept < len(whole) - 1 else "2 mm")
        again.close()


@pytest.mark.parametrize("junk", [b"", b"\0" * 5000, b"{}\n" * 50, b"0123456789abcdef {}\n",
                                  b"not a journal\n", b'{"text": 5}\n'])
def test_a_strange_journal_is_no_journal(path: Path, junk: bytes) -> None:
    journal_of(path).write_bytes(junk)
    job = OpenJob(path)
    assert not job.now().unsaved
    assert job.now().undoes is None
    job.close()


def test_a_journal_that_is_a_link_is_not_followed(path: Path, tmp_path: Path) -> None:
    other = tmp_path / "precious.txt"
    other.write_text("precious", encoding="utf-8")
    journal_of(path).symlink_to(other)
    job = OpenJob(path)
    job.edit(moved(1), "moved", job.revision)
    assert "cannot be kept on the disk" in job.now().remark
    job.close()
    assert other.read_text(encoding="utf-8") == "precious"


def test_one_page_at_a_time_has_a_job_open(path: Path) -> None:
    job = OpenJob(path)
    with pytest.raises(InputProblem, match="has it open already"):
        OpenJob(path)
    job.close()
    OpenJob(path).close()


def test_another_hand_s_change_is_taken_where_nothing_here_is_unsaved(path: Path) -> None:
    job = OpenJob(path)
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("boards = 3", "boards = 4"), encoding="utf-8")
    assert job.look_at_file()
    assert not job.look_at_file()
    assert job.now().job.boards == 4
    assert "changed elsewhere" in job.now().remark
    job.move(-1)
    assert job.now().text == text
    job.close()


@pytest.mark.parametrize("choice", ["mine", "theirs"])
def test_of_two_hands_neither_side_is_lost(path: Path, choice: str) -> None:
    job = OpenJob(path)
    text = path.read_text(encoding="utf-8")
    job.edit(moved(5), "moved", job.revision)
    mine = job.now().text
    theirs = text.replace("boards = 3", "boards = 4")
    path.write_text(theirs, encoding="utf-8")
    with pytest.raises(InputProblem, match="was changed elsewhere"):
        job.save()
    assert "Both are kept" in job.now().other_hand
    assert path.read_text(encoding="utf-8") == theirs
    job.settle(choice)
    assert job.now().other_hand == ""
    assert job.now().text == (mine if choice == "mine" else theirs)
    job.move(-1)
    assert job.now().text == (theirs if choice == "mine" else mine)
    job.move(1)
    job.save()
    assert path.read_text(encoding="utf-8") == (mine if choice == "mine" else theirs)
    job.close()


def test_a_file_spoilt_or_removed_by_another_hand_is_told_and_can_be_written_again(
        path: Path) -> None:
    job = OpenJob(path)
    job.edit(moved(5), "moved", job.revision)
    for spoil in (lambda: path.write_text("title = ", encoding="utf-8"), path.unlink):
        spoil()
        job.look_at_file()
        assert job.now().other_hand
        job.settle("mine")
        assert along(path.read_text(encoding="utf-8")) == "5 mm"
        assert job.now().other_hand == ""
    assert path.with_name("marsh-other-1.toml").read_text(encoding="utf-8") == "title = "
    job.close()


def test_what_changed_while_no_page_was_open_waits_for_a_choice(path: Path) -> None:
    job = OpenJob(path)
    job.edit(moved(5), "moved", job.revision)
    job.close()
    path.write_text(path.read_text(encoding="utf-8").replace("boards = 3", "boards = 4"),
                    encoding="utf-8")
    again = OpenJob(path)
    assert along(again.now().text) == "5 mm"
    assert "Both are kept" in again.now().other_hand
    again.settle("theirs")
    assert again.now().job.boards == 4
    again.close()


_SAVER = """
import sys
from pathlib import Path
from separations.uses.layout_page.open_job import OpenJob
job = OpenJob(Path(sys.argv[1]))
step = int((job.now().job.art[0].offset_along.written).split()[0])
print("open", flush=True)
while True:
    step += 1
    job.edit([{"set": ["art", 0, "offset_along"], "to": f"{step} mm"},
              {"set": ["art", 0, "offset_across"], "to": f"{step} mm"}], str(step), job.revision)
    print(step, flush=True)
    job.save()
"""


def _killed(path: Path, after_s: float) -> int:
    """Let a process edit and save until it is killed; the last edit that it told of."""
    process = subprocess.Popen([sys.executable, "-c", _SAVER, str(path)], cwd=ROOT, text=True,
                               stdout=subprocess.PIPE)
    assert process.stdout is not None
    assert process.stdout.readline() == "open\n"
    time.sleep(after_s)
    os.kill(process.pid, signal.SIGKILL)
    told = [line for line in process.stdout.read().split("\n")[:-1] if line.isdigit()]
    process.stdout.close()
    process.wait()
    return int(told[-1]) if told else 0


def _kill_while_saving(path: Path, times: int) -> None:
    path.write_text(path.read_text(encoding="utf-8").replace(
        "turn = 90", 'turn = 90\noffset_along = "0 mm"', 1), encoding="utf-8")
    rng = random.Random(17)
    for _ in range(times):
        last = _killed(path, rng.uniform(0.0, 0.06))
        table = tomllib.loads(path.read_text(encoding="utf-8"))["art"][0]
        if "offset_across" in table:  # whole: both keys of one edit
            assert table["offset_along"] == table["offset_across"]
        job = OpenJob(path)
        step = int((along(job.now().text) or "0").split()[0])
        assert step >= last, "an edit that was told of is lost"
        assert job.now().other_hand == ""
        job.close()
        assert not [p for p in path.parent.iterdir() if p.name.endswith(".unfinished")]


def test_a_server_killed_while_it_saves_loses_nothing(path: Path) -> None:
    _kill_while_saving(path, 6)


@pytest.mark.long
def test_a_server_killed_at_fifty_moments_loses_nothing(path: Path) -> None:
    _kill_while_saving(path, 50)


def test_names_in_a_job_may_not_lead_out_of_its_folder(tmp_path: Path) -> None:
    path = write_small_job(tmp_path / "job")
    (tmp_path / "secret.png").write_bytes((path.parent / "photo.png").read_bytes())
    (path.parent / "link.png").symlink_to(tmp_path / "secret.png")
    job = OpenJob(path)
    for name in ("../secret.png", "link.png", str(tmp_path / "secret.png")):
        job.edit([{"set": ["art", 0, "file"], "to": name}], "", job.revision)
        with pytest.raises(InputProblem, match="outside the job's folder"):
            job.now().job.beside(name)
        job.move(-1)
    job.close()


