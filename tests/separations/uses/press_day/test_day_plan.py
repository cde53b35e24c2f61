"""The order of a press day: sides, hits, drying and screens."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from preflight.basis import Basis
from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.ink_need.ink_estimate import Range, estimate_ink
from separations.uses.press_day.day_plan import DayPlan, SideOfDay, plan_day
from separations.uses.press_day.screens import ScreenUse, screens_for

Write = Callable[..., Path]
BASE = ('boards = 3', 'boards = 3\nside = "base"')
BOARD = ('stage = "sheet"', 'stage = "board"')


def side_of(path: Path, blank: tuple[str, ...] = ()) -> SideOfDay:
    job = read_job(path)
    return SideOfDay(job=job, revision="ABCDEFGH", estimates=tuple(
        estimate_ink(ink=ink.name, inked_mm2=0.0 if ink.name in blank else 4000.0,
                     printed_mm2=20_000.0, ink_volume_um=16.0,
                     deposit=Range(low=8.0, likely=11.0, high=15.0), density_g_per_ml=ink.density,
                     boards=job.boards) for ink in job.ink))


def plan_of(*paths: Path) -> DayPlan:
    return plan_day([side_of(path) for path in paths])


def test_base_is_printed_first_unless_the_job_says_otherwise(small_job: Write) -> None:
    top, base = read_of(small_job, BOARD), read_of(small_job, BOARD, BASE)
    assert [s.job.side for s in plan_day([top, base]).sides] == ["base", "top"]
    first = ("[halftone]", '[day]\nfirst_side = "top"\n[halftone]')
    top, base = read_of(small_job, BOARD, first), read_of(small_job, BOARD, BASE, first)
    assert [s.job.side for s in plan_day([base, top]).sides] == ["top", "base"]


def read_of(small_job: Write, *changes: tuple[str, str]) -> SideOfDay:
    return side_of(small_job(*changes))


def test_a_two_sided_board_is_turned_sanded_and_varnished_in_order(small_job: Write) -> None:
    plan = plan_day([read_of(small_job, BOARD), read_of(small_job, BOARD, BASE)])
    kinds = [step.kind for step in plan.steps]
    assert kinds == [*["hit"] * 4, "turn", *["hit"] * 4, "sand", "varnish"]
    assert [step.ink for step in plan.hits] == ["Yellow", "Magenta", "Cyan", "Black"] * 2
    assert [step.hit for step in plan.hits] == list(range(1, 9))
    assert all(step.run_g is not None and step.run_g.likely > 0 for step in plan.hits)


def test_sheets_are_pressed_in_the_end_and_never_turned(small_job: Write) -> None:
    plan = plan_day([read_of(small_job), read_of(small_job, BASE)])
    assert [step.kind for step in plan.steps] == [*["hit"] * 8, "press"]
    assert "85 °C" in plan.steps[-1].told


def test_uv_inks_wait_for_nothing_and_inks_that_dry_in_air_for_the_next_hit(
        small_job: Write) -> None:
    assert plan_of(small_job()).waiting_min == (0.0, 0.0)
    air = small_job(("angle = 7.5", 'angle = 7.5\ncure = "air"'),
                    ("angle = 82.5", 'angle = 82.5\ncure = "air"'))
    hits = plan_of(air).hits
    waits = [(hit.after.least_min, hit.after.most_min) for hit in hits if hit.after]
    # Magenta is followed by a UV ink; at the end all inks must be dry through.
    assert waits == [(20, 60), (720, 1440), (0, 0), (720, 1440)]
    assert hits[0].after is not None
    assert hits[0].after.source.basis is Basis.PRACTICE


def test_data_sheet_figures_of_the_job_win(small_job: Write) -> None:
    path = small_job(("angle = 7.5", 'angle = 7.5\ncure = "air"\ndries_in = "10 to 15 min"\n'
                                     'dries_through = "2 h"'),
                     ("angle = 82.5", 'angle = 82.5\ncure = "air"'))
    hits = plan_of(path).hits
    assert hits[0].after is not None
    assert (hits[0].after.least_min, hits[0].after.most_min) == (10, 15)
    assert hits[0].after.source.basis is Basis.GIVEN
    assert hits[0].after.told == "10 to 15 min"


@pytest.mark.parametrize("bad", ["soon", "10", "20 to 10 min", "29 days", "-5 min"])
def test_times_that_make_no_sense_are_refused(small_job: Write, bad: str) -> None:
    with pytest.raises(InputProblem, match=r"dries_in.*a time such as"):
        read_job(small_job(("angle = 7.5", f'angle = 7.5\ndries_in = "{bad}"')))


def test_an_ink_without_a_dot_takes_no_hit(small_job: Write) -> None:
    plan = plan_day([side_of(small_job(), blank=("Magenta",))])
    assert [hit.ink for hit in plan.hits] == ["Yellow", "Cyan", "Black"]
    assert any("Magenta" in note for note in plan.notes)


def test_jobs_that_tell_of_other_days_are_refused(small_job: Write) -> None:
    few = read_of(small_job, ("[halftone]", "[day]\nscreens = 2\n[halftone]"))
    with pytest.raises(InputProblem, match="'day' unlike that of"):
        plan_day([few, read_of(small_job, BASE)])
    with pytest.raises(InputProblem, match="'stage' unlike that of"):
        plan_day([read_of(small_job), read_of(small_job, BASE, BOARD)])


def test_with_frames_enough_every_screen_is_exposed_at_once() -> None:
    assert screens_for(["120", "120", "77"], None) == tuple(
        ScreenUse(hit=hit, frame=hit) for hit in (1, 2, 3))
    assert screens_for(["120"] * 3, 5) == screens_for(["120"] * 3, None)


def test_few_frames_are_reclaimed_for_hits_of_their_own_cloth_first() -> None:
    uses = screens_for(["77", "120", "120", "77", "90"], 2)
    assert [(use.frame, use.reclaimed_after, use.new_cloth) for use in uses] == [
        (1, 0, False), (2, 0, False), (2, 2, False), (1, 1, False), (2, 3, True)]


def test_varnish_dries_as_the_job_says_or_by_common_practice(small_job: Write) -> None:
    last = plan_of(small_job(BOARD)).steps[-1]
    assert last.kind == "varnish"
    assert last.after is not None
    assert last.after.told == "12 to 24 h"
    assert last.after.source.basis is Basis.PRACTICE
    own = '[finish]\nvarnish = "gloss"\ndries_through = "2 to 3 days"\n[halftone]'
    varnished = read_of(small_job, BOARD, ("[halftone]", own))
    last = plan_day([varnished, read_of(small_job, BOARD, BASE)]).steps[-1]
    assert last.told.startswith("Varnish (gloss);")
    assert last.after is not None
    assert (last.after.told, last.after.source.basis) == ("48 to 72 h", Basis.GIVEN)
