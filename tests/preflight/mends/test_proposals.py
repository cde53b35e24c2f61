"""What is proposed, and what is left to people."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from preflight.checks.catalogue import run_checks
from preflight.findings import Grade
from preflight.mends.mend import Mend
from preflight.mends.proposals import proposed_mends
from separations.pipeline.calls import check_job
from tests.small_art import small_photo

Write = Callable[..., Path]
SMALL = 'file = "photo.png"\nturn = 90'


def mends_of(job: Path) -> dict[str, Mend]:
    return {m.key_told: m for m in proposed_mends(check_job(job).submission)}


def test_a_job_in_order_gets_none(small_job: Write) -> None:
    assert mends_of(small_job()) == {}


def test_a_bad_angle_is_turned_clear_of_all(small_job: Write) -> None:
    mends = mends_of(small_job(("angle = 22.5", "angle = 45")))
    assert set(mends) == {"ink[3].angle"}
    assert (mends["ink[3].angle"].before, mends["ink[3].angle"].after) == (45, 22.5)


def test_three_inks_on_one_angle_keep_one_of_them(small_job: Write) -> None:
    mends = mends_of(small_job(("angle = 7.5", "angle = 52.5"), ("angle = 22.5", "angle = 52.5")))
    assert len(mends) == 2
    assert {m.before for m in mends.values()} == {52.5}
    assert len({m.after for m in mends.values()}) == 2


def test_angles_are_reckoned_from_a_turned_mesh(small_job: Write) -> None:
    mends = mends_of(small_job(('thread = "34 um"', 'thread = "34 um"\nangle = 7.5')))
    for mend in mends.values():
        assert mend.key_told.endswith("angle")
        gap = (float(mend.after) - 7.5) % 45
        assert 7 <= gap <= 38


@pytest.mark.parametrize(("written", "film", "asked"), [
    ('"110 lpi"', "1440 dpi", "81 lpi"),   # 120 threads/cm / 3.75 = 32.0 lines/cm
    ('"44 l/cm"', "1440 dpi", "32 l/cm"),
    ('"110 lpi"', "600 dpi", "48 lpi"),    # 600 dpi / 12.25 = 48.98
])
def test_a_ruling_comes_down_to_what_mesh_and_film_carry(
    small_job: Write, written: str, film: str, asked: str
) -> None:
    mend = mends_of(small_job(('"45 lpi"', written), ("600 dpi", film)))["halftone.ruling"]
    lines, unit = str(mend.after).split()
    limit, limit_unit = asked.split()
    assert unit == limit_unit
    assert 0.8 * int(limit) <= int(lines) <= int(limit)


def test_an_inks_own_ruling_is_mended_by_itself(small_job: Write) -> None:
    mends = mends_of(small_job(("angle = 7.5", 'angle = 7.5\nruling = "130 lpi"'),
                               ("600 dpi", "1440 dpi")))
    assert "ink[1].ruling" in mends
    assert "halftone.ruling" not in mends


def test_small_dots_and_holes_are_raised_to_what_the_mesh_holds(small_job: Write) -> None:
    job = small_job(('"45 lpi"', '"45 lpi"\nsmallest_tone = "0.4 %"\nlargest_tone = "99.7 %"'))
    mends = mends_of(job)
    assert (mends["halftone.smallest_tone"].after, mends["halftone.largest_tone"].after) == (
        "1.8 %", "98.2 %")  # 83 µm at 45 lpi: π/4 (0.00833 · 17.7)² = 1.71 %


def test_a_choke_too_small_for_hand_register(small_job: Write) -> None:
    base = ('[[ink]]\nname = "White"\nover_white = [96, 0, 1]\nopacity = 0.8\nangle = 0\n'
            'heat_limit = "140 °C"\nprints = "underbase"\nchoke = "0.05 mm"\n'
            '[[ink]]\nname = "Yellow"')
    mend = mends_of(small_job(('[[ink]]\nname = "Yellow"', base)))["ink[1].choke"]
    assert (mend.before, mend.after) == ("0.05 mm", "0.3 mm")


def test_a_tone_sum_of_offset_comes_down_to_what_screen_inks_take(small_job: Write) -> None:
    submission = check_job(small_job(
        ("[separation]", '[separation]\ntone_sum_limit = "390 %"'))).submission
    assert submission.tones is not None
    heavy = replace(submission, tones=replace(submission.tones, greatest_sum=3.5))
    mend = next(m for m in proposed_mends(heavy) if m.key_told == "separation.tone_sum_limit")
    assert (mend.before, mend.after) == ("390 %", "260 %")


def placed(width: str) -> tuple[str, str]:
    return SMALL, f'{SMALL}\nplace = "scale"\nwidth = "{width}"'


def test_a_short_bleed_is_filled_but_a_short_board_is_not(small_job: Write) -> None:
    # 1240 × 360 px: 30.5 cm reach 8.85 cm across; the board is 8 cm wide, with bleed 9 cm.
    outcome = check_job(small_job(placed("30.5 cm")))
    grades = {f.id: f.grade for f in outcome.findings}
    assert grades["art-covers-bleed"] is Grade.CARE
    assert grades["art-covers-board"] is Grade.CLEAR
    mend = next(m for m in proposed_mends(outcome.submission) if m.key_told == "art[1].fill_edges")
    assert (mend.before, mend.after) == (None, True)
    missing_inside = mends_of(small_job(placed("26 cm")))
    assert "art[1].fill_edges" not in missing_inside


def test_filled_edges_still_stop_where_the_board_is_short(small_job: Write) -> None:
    found = {f.id: f.grade for f in run_checks(check_job(
        small_job((SMALL, f'{SMALL}\nfill_edges = true\nplace = "scale"\nwidth = "29 cm"'))
    ).submission)}
    assert found["art-covers-board"] is Grade.STOP
    assert found["art-covers-bleed"] is Grade.CLEAR
    assert small_photo().shape == (360, 1240, 3)
