"""A photo that is to lie on bare wood: what is meant is no fault, a sliver at the trim is."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from preflight.checks.art_on_board import art_covers_the_area
from preflight.findings import Finding, Grade
from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from preflight.mends.placement_mends import placement_mends
from tests.preflight.checks.test_checks import submission

Write = Callable[..., Path]
PHOTO = 'file = "photo.png"\nturn = 90'
MEANT = "bare_wood_around = true"


def covered(path: Path) -> tuple[Finding, Finding]:
    board, bleed = art_covers_the_area(submission(path))
    assert (board.id, bleed.id) == ("art-covers-board", "art-covers-bleed")
    return board, bleed


@pytest.mark.parametrize(("placed", "share"), [
    ('turn = 90\nplace = "scale"\nwidth = "11 cm"', "83 %"),
    # 1240 × 360 px: a band of 35 mm across the board and past its bleed on both sides.
    ('turn = 0\nplace = "scale"\nwidth = "12 cm"', "88 %"),
    ('turn = 20\nplace = "scale"\nwidth = "12 cm"', "88 %"),
    ('turn = 90\ncrop_left = "50 %"\nplace = "fit"', "47 %")])
def test_what_is_meant_is_told_and_no_fault(small_job: Write, placed: str, share: str) -> None:
    board, bleed = covered(small_job((PHOTO, f'file = "photo.png"\n{placed}\n{MEANT}')))
    assert (board.grade, bleed.grade) == (Grade.CLEAR, Grade.CLEAR)
    assert f"of the board inside its trim, {share}, stays bare wood" in board.says
    silent, _ = covered(small_job((PHOTO, f'file = "photo.png"\n{placed}')))
    assert silent.grade is Grade.STOP
    assert f"write {MEANT} in its [[art]] table" in silent.mend


def test_an_edge_that_runs_along_the_trim_within_the_bleed_needs_care(small_job: Write) -> None:
    # 30.5 cm long it ends 2.5 mm beyond nose and tail, where the bleed is 5 mm.
    path = small_job((PHOTO, f'{PHOTO}\nplace = "scale"\nwidth = "30.5 cm"\n{MEANT}'))
    board, bleed = covered(path)
    assert (board.grade, bleed.grade) == (Grade.CLEAR, Grade.CARE)
    assert "larger, or move it" in bleed.mend
    assert not list(placement_mends(submission(path)))


def test_a_large_photo_beside_the_board_is_moved_a_small_one_enlarged(small_job: Write) -> None:
    beside = f'{PHOTO}\nplace = "scale"\nwidth = "40 cm"\noffset_along = "25 cm"'
    board, _ = covered(small_job((PHOTO, beside)))
    assert "large enough but lies beside the board" in board.mend
    board, _ = covered(small_job((PHOTO, f'{PHOTO}\nplace = "scale"\nwidth = "15 cm"')))
    assert "times as large" in board.mend.lower()
    assert "large enough" not in board.mend


def test_each_photo_must_say_so(small_job: Write) -> None:
    small = 'turn = 90\nplace = "scale"\nwidth = "8 cm"'
    two = (f'file = "photo.png"\n{small}\n{MEANT}\n[[art]]\nfile = "lines.png"\n{small}\n'
           'offset_along = "90 mm"')
    board, _ = covered(small_job((PHOTO, two)))
    assert board.grade is Grade.STOP
    assert f"write {MEANT} in the [[art]] table of lines.png." in board.mend
    assert covered(small_job((PHOTO, f"{two}\n{MEANT}")))[0].grade is Grade.CLEAR


@pytest.mark.parametrize(("change", "told"), [
    (('kind = "line"', f'kind = "line"\n{MEANT}'), "'bare_wood_around' on a photo only"),
    ((PHOTO, f"{PHOTO}\nfill_edges = true\n{MEANT}"), "one of the two")])
def test_what_contradicts_it_is_refused(small_job: Write, change: tuple[str, str],
                                        told: str) -> None:
    with pytest.raises(InputProblem, match=r"art\[\d\].bare_wood_around: found .*" + told):
        read_job(small_job(change))
