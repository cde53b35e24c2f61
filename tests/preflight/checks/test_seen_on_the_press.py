"""What pictures of the test sheet told of register and dots, against the job: all grades."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from preflight.checks.catalogue import run_checks
from preflight.facts.submission import ProfiledInk, Submission
from preflight.findings import Finding, Grade
from preflight.mends.halftone_mends import printed_end_mends
from preflight.mends.press_mends import register_mends
from preflight.press.seen_print import UNSEEN, SeenPrint, SeenRegister, apart_mm
from tests.prepared_jobs import laid_out

Write = Callable[..., Path]
YELLOW = ProfiledInk(name="Yellow", threads_per_cm=120.0, thread_um=34.0, ruling_lpcm=17.717)
REGISTER = SeenRegister(to="Yellow", along_mm=0.0, across_mm=0.0, within_mm=0.02, turn_deg=0.001,
                        turn_within_deg=0.005)


def submission(path: Path, *inks: ProfiledInk) -> Submission:
    laid = laid_out(path)
    return Submission(job=laid.job, outline=laid.outline, area=laid.area, art=laid.art,
                      film_length_mm=360, film_width_mm=140, tones=None, profile_inks=inks)


def inks(**shifts: tuple[float, float]) -> list[ProfiledInk]:
    return [YELLOW, *(replace(YELLOW, name=name, seen=SeenPrint(
        register=replace(REGISTER, along_mm=along, across_mm=across)))
        for name, (along, across) in shifts.items())]


def found(submission: Submission, id_: str) -> Finding:
    return next(one for one in run_checks(submission) if one.id == id_)


@pytest.mark.parametrize(("along", "grade"), [
    (0.05, Grade.CLEAR), (0.22, Grade.CLEAR), (0.24, Grade.NOTE), (0.26, Grade.NOTE),
    (0.28, Grade.CARE), (5.0, Grade.CARE)])
def test_register_against_the_trap(small_job: Write, along: float, grade: Grade) -> None:
    one = found(submission(small_job(), *inks(Cyan=(along, 0.0))), "register-printed")
    assert one.grade is grade
    assert one.subjects == ("Yellow", "Cyan")
    assert one.measured.value == pytest.approx(along)
    assert one.limit.value == 0.25
    assert "read from a scan" in one.says
    assert "turned" not in one.says
    assert "measured on this press" in str(one.source)
    assert bool(one.mend) == (grade is not Grade.CLEAR)
    assert grade is Grade.CLEAR or f"to {along + 0.02:.2f} mm or more" in one.mend


def test_the_two_inks_furthest_apart_are_told_and_the_turn(small_job: Write) -> None:
    cyan, black = inks(Cyan=(0.2, 0.1), Black=(-0.2, -0.2))[1:]
    turned = replace(black, seen=SeenPrint(register=replace(
        black.seen.register or REGISTER, turn_deg=-0.05)))
    one = found(submission(small_job(), YELLOW, cyan, turned), "register-printed")
    assert one.subjects == ("Cyan", "Black")
    assert one.measured.value == pytest.approx(0.5)
    assert "(±0.03 mm" in one.says
    assert "Black was turned by 0.050°, which over 15" in one.says
    # 158 mm by the tangent of 0.05°
    assert "is 0.14 mm" in one.says


def test_without_a_trap_the_trade_s_figure_counts(small_job: Write) -> None:
    path = small_job(('kind = "line"', 'kind = "line"\nbeneath = "overprint"'))
    one = found(submission(path, *inks(Cyan=(0.6, 0.0))), "register-printed")
    assert one.grade is Grade.CARE
    assert one.limit.value == 0.5
    assert one.mend.startswith("Lay screens and boards against stops")


def test_nobody_looked(small_job: Write) -> None:
    assert all(one.id != "register-printed" for one in run_checks(submission(small_job(), YELLOW)))


def test_the_budget_takes_what_was_seen_where_it_is_more(small_job: Write) -> None:
    path = small_job()
    little = found(submission(path, *inks(Cyan=(0.05, 0.0))), "register-and-trap")
    assert "placement on the table 0.15 mm" in little.says
    much = submission(path, *inks(Cyan=(0.4, 0.0)))
    one = found(much, "register-and-trap")
    assert "placement as on the test sheet 0.40 mm" in one.says
    assert one.measured.value > 0.4
    mend, = register_mends(much)
    assert mend.key_path == ("separation", "trap")
    assert float(mend.after.split()[0]) >= 0.4  # type: ignore[union-attr]


def dots(**seen: float) -> ProfiledInk:
    return replace(YELLOW, seen=replace(UNSEEN, **seen))  # type: ignore[arg-type]


@pytest.mark.parametrize(("smallest", "then_lpcm", "grade"), [
    ("5 %", 17.717, Grade.CLEAR), ("4.9 %", 17.717, Grade.NOTE), ("2.1 %", 17.717, Grade.NOTE),
    ("2 %", 17.717, Grade.CARE), ("0.1 %", 17.717, Grade.CARE),
    # of a coarser ruling the same tones are larger dots
    ("5 %", 14.0, Grade.NOTE), ("5 %", 11.2, Grade.CARE), ("2 %", 35.5, Grade.CLEAR)])
def test_smallest_dots_against_those_printed(small_job: Write, smallest: str, then_lpcm: float,
                                             grade: Grade) -> None:
    path = small_job(('ruling = "45 lpi"', f'ruling = "45 lpi"\nsmallest_tone = "{smallest}"'))
    seen = replace(dots(smallest_tone=0.05, lost_tone=0.02), ruling_lpcm=then_lpcm)
    made = submission(path, seen)
    one = found(made, "smallest-dot-printed")
    assert one.grade is grade
    assert bool(one.mend) == (grade is not Grade.CLEAR)
    assert (one.measured.value < one.limit.value - 0.5) == (grade is not Grade.CLEAR)
    mends = [mend for mend in printed_end_mends(made) if mend.key_path[-1] == "smallest_tone"]
    assert len(mends) == (grade is Grade.CARE)
    if grade is Grade.CARE and then_lpcm == 17.717:
        # the diameter of a round dot that covers 5 % of a cell of 1 / 17.717 cm: 142 µm
        assert "dots of 142 µm were printed and those of 90 µm lost" in one.says
        assert mends[0].after == "5 %"


def test_holes_likewise_and_what_nobody_saw(small_job: Write) -> None:
    path = small_job(('ruling = "45 lpi"', 'ruling = "45 lpi"\nlargest_tone = "97 %"'))
    made = submission(path, dots(largest_tone=0.9, closed_tone=0.95))
    one = found(made, "smallest-hole-printed")
    assert one.grade is Grade.CARE
    assert 'Set largest_tone = "90.0 %"' in one.mend
    mend, = printed_end_mends(made)
    assert (mend.key_path, mend.before, mend.after) == (("halftone", "largest_tone"), "97 %",
                                                        "90 %")
    for seen in (dots(largest_tone=0.98), dots(closed_tone=0.7), dots()):
        assert all(finding.id != "smallest-hole-printed"
                   for finding in run_checks(submission(path, seen)))


@pytest.mark.parametrize(("step", "grade"), [(0, Grade.NOTE), (5, Grade.NOTE), (7, Grade.CLEAR),
                                             (11, Grade.CLEAR)])
def test_exposure_of_the_stencils_that_were_printed(small_job: Write, step: int, grade: Grade
                                                    ) -> None:
    one = found(submission(small_job(), dots(exposure_step=step)), "exposure-printed")
    assert one.grade is grade
    assert one.subjects == ("Yellow",)
    assert one.measured.value == step
    assert one.limit.value == 7
    assert "ulano.com/exposure" in str(one.source)
    assert bool(one.mend) == (grade is not Grade.CLEAR)


def test_how_far_inks_lie_apart() -> None:
    one = replace(REGISTER, along_mm=0.3)
    assert apart_mm(one, None) == (0.3, 0.02)
    assert apart_mm(one, replace(REGISTER, across_mm=0.4)) == pytest.approx((0.5, 0.0283), abs=1e-4)
