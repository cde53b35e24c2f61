"""A photo that fills a long board lies along it, or a care says which turn would show more."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import pytest

from preflight.checks.art_on_board import photo_lies_along_the_board
from preflight.facts.submission import Submission
from preflight.findings import Finding, Grade
from tests.prepared_jobs import laid_out

Write = Callable[..., Path]


def found(write: Write, placed: str, width_px: int = 1240, height_px: int = 360) -> list[Finding]:
    path = write(("turn = 90\n[[art]]", f"{placed}\n[[art]]"))
    cv2.imwrite(str(path.parent / "photo.png"), np.full((height_px, width_px, 3), 90, np.uint8))
    laid = laid_out(path)
    return list(photo_lies_along_the_board(Submission(
        job=laid.job, outline=laid.outline, area=laid.area, art=laid.art, film_length_mm=360,
        film_width_mm=140, tones=None)))


@pytest.mark.parametrize(("placed", "width_px", "height_px", "grade"), [
    ("turn = 90", 1240, 360, Grade.CLEAR),
    ("", 360, 1240, Grade.CLEAR),
    ("", 1220, 1000, Grade.CLEAR),  # a quarter turn shows 1.22² as much
    ("", 1230, 1000, Grade.CARE),  # and here 1.23²
    ("", 1240, 360, Grade.CARE),
    ("", 4000, 100, Grade.CARE),
    ("turn = 180", 1240, 360, Grade.CARE),
    ("turn = 90", 360, 1240, Grade.CARE),
    ('place = "fit"', 1240, 360, Grade.CLEAR),
])
def test_limits(
    small_job: Write, placed: str, width_px: int, height_px: int, grade: Grade
) -> None:
    one, = found(small_job, placed, width_px, height_px)
    assert one.grade is grade
    assert bool(one.mend) == (grade is Grade.CARE)


def test_both_shares_and_the_turn_are_told(small_job: Write) -> None:
    cropped, = found(small_job, "")
    turned, = found(small_job, "turn = 90")
    # Of a photo 1240 x 360 that fills 310 mm by w mm its width shows w of 310 x 1240 / 360 mm.
    assert cropped.measured.value == pytest.approx(8.4, abs=0.2)
    assert turned.measured.value > 95
    for told in ("Only 8 %", f"{turned.measured.value:.0f} %", "turn = 90"):
        assert told in cropped.says
    assert cropped.mend.startswith("Write turn = 90 (or 270")


def test_the_turn_that_is_told_mends_it(small_job: Write) -> None:
    one, = found(small_job, "turn = 0", 1500, 1000)
    assert one.grade is Grade.CARE
    turned, = found(small_job, "turn = 90", 1500, 1000)
    assert turned.grade is Grade.CLEAR
    assert f"it would be {turned.measured.value:.0f} %" in one.says


def test_a_photo_at_a_scale_of_its_own_is_let_be(small_job: Write) -> None:
    assert not found(small_job, 'place = "scale"\nwidth = "400 mm"')
