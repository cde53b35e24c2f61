"""What is said of recorded tracks: in order, just failing, absurd."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import pytest

from preflight.checks.recorded_tracks import (
    landmarks_agree,
    tracks_are_drawn_as_asked,
    tracks_lie_true,
)
from preflight.facts.submission import Submission
from preflight.facts.track_facts import CameraFacts, TrackFacts
from preflight.findings import Grade


def camera(**keys: Any) -> Submission:
    told: dict[str, Any] = {"photo": "bay.jpg", "landmarks": 9, "noise_px": 0.8, "worst": 3,
                            "worst_px": 1.9, **keys}
    return cast("Submission", SimpleNamespace(cameras=(CameraFacts(**told),), tracks=()))


def track(**keys: Any) -> Submission:
    told: dict[str, Any] = {
        "subject": "ridge", "ink": "Black", "photo": "bay.jpg", "tolerance_mm": 0.3,
        "likely_mm": 0.2, "worst_mm": 0.4, "moved_mm": 0.0, "moved_over_mm": 0.0, "gap_mm": 0.102,
        "asked_mm": 0.6, "drawn_mm": 0.6, "seen_mm": 900.0, "hidden_mm": 60.0, **keys}
    return cast("Submission", SimpleNamespace(cameras=(), tracks=(TrackFacts(**told),)))


def test_landmarks_that_agree_and_one_that_does_not() -> None:
    sound, = landmarks_agree(camera())
    assert sound.grade is Grade.CLEAR
    assert "landmark 3 misses most, by 1.9" in sound.says
    wrong, = landmarks_agree(camera(wrong=7, wrong_px=84.4))
    assert wrong.grade is Grade.CARE
    assert wrong.says == ("Landmark 7 lies 84 pixels from where the other 9 put it, and was left "
                          "out.")
    assert wrong.mend


@pytest.mark.parametrize(("likely", "tolerance", "grade"), [
    (0.2, 0.3, Grade.CLEAR), (0.6, 0.3, Grade.CLEAR), (0.61, 0.3, Grade.CARE),
    (0.8, 1.0, Grade.CLEAR), (400.0, 0.3, Grade.CARE)])
def test_the_likely_error_is_held_against_tolerance_and_width(likely: float, tolerance: float,
                                                              grade: Grade) -> None:
    finding, = tracks_lie_true(track(likely_mm=likely, tolerance_mm=tolerance))
    assert finding.grade is grade
    assert finding.limit.value == max(tolerance, 0.6)


def test_a_track_on_the_plan_has_no_place_on_the_photo() -> None:
    assert not list(tracks_lie_true(track(photo="")))
    _, width = tracks_are_drawn_as_asked(track(photo=""))
    assert width.says.endswith("900 mm long on the plan.")


def test_moves_and_widths_are_told() -> None:
    apart, width = tracks_are_drawn_as_asked(track())
    assert {apart.grade, width.grade} == {Grade.CLEAR}
    apart, width = tracks_are_drawn_as_asked(track(
        moved_mm=0.84, moved_over_mm=31.0, asked_mm=0.05, drawn_mm=0.102))
    assert {apart.grade, width.grade} == {Grade.NOTE}
    assert apart.says == "31 mm of it was moved, by up to 0.84 mm, to keep a gap of 102 µm."
    assert width.says == "It is drawn 102 µm wide, the finest line of its mesh."
