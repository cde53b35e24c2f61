"""Plan outlines developed for the flat sheet, and flat ones led to the pressed board."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import Polygon

from preflight.board.board_outline import BoardOutline
from preflight.board.developed_outline import (
    BoardFrames,
    frames_between,
    outline_on_film,
    profile_for,
)
from preflight.board.outline_from_numbers import BoardNumbers, outline_from_numbers
from preflight.board.side_profile import ProfileFigures

FIGURES = ProfileFigures(length_mm=1580, camber_mm=6, nose_rise_mm=52, nose_length_mm=200,
                         tail_rise_mm=30, tail_length_mm=150)
BOARD = outline_from_numbers(BoardNumbers(
    length_mm=1580, contact_length_mm=1190, nose_width_mm=298, waist_width_mm=254, taper_mm=8),
    where="t")


def developed() -> tuple[BoardFrames, BoardOutline]:
    frames = frames_between(profile_for(FIGURES, "plan", where="t"), BOARD, "plan", "flat")
    return frames, outline_on_film(BOARD, frames)


def test_widths_are_kept_and_the_middle_is_the_origin() -> None:
    frames, flat = developed()
    assert flat.width_mm == pytest.approx(BOARD.width_mm)
    assert flat.length_mm > BOARD.length_mm + 10
    assert flat.ring_mm[:, 0].min() == pytest.approx(-flat.ring_mm[:, 0].max(), abs=1e-9)
    for x in (-700.0, -20.0, 333.0, 760.0):
        there = float(frames.on_film(np.array([[x, 0.0]]))[0, 0])
        assert flat.width_at(there) == pytest.approx(BOARD.width_at(x), abs=2e-3)
    assert "is developed" not in " ".join(flat.remarks)
    assert "1580.0 mm long; along the side profile the flat sheet is" in flat.remarks[-2]
    assert "towards the nose from" in flat.remarks[-1]


def test_there_and_back_is_the_same_board() -> None:
    frames, flat = developed()
    assert frames.flat_length_mm is not None
    figures = replace(FIGURES, length_mm=flat.length_mm)
    back = frames_between(profile_for(figures, "flat", where="t"), flat, "flat", "plan")
    plan = outline_on_film(flat, back)
    assert back.plan_length_mm == pytest.approx(1580, abs=1e-6)
    assert plan.length_mm == pytest.approx(1580, abs=1e-6)
    apart = Polygon(plan.ring_mm).symmetric_difference(BOARD.polygon).area
    assert apart < 1e-5 * BOARD.area_mm2


def test_long_straight_edges_bend_with_the_board() -> None:
    plank = replace(BOARD, ring_mm=np.array(
        [[-790.0, -100], [790, -60], [790, 60], [-790, 100]]))
    frames = frames_between(profile_for(FIGURES, "plan", where="t"), plank, "plan", "flat")
    flat = outline_on_film(plank, frames)
    there = float(frames.on_film(np.array([[700.0, 0.0]]))[0, 0])
    assert flat.width_at(there) == pytest.approx(plank.width_at(700.0), abs=1e-3)


@pytest.mark.parametrize(("view", "film_view", "way"), [
    ("plan", "flat", "developed"), ("flat", "plan", "folded"), ("flat", "flat", "as drawn"),
    ("plan", "plan", "as drawn")])
def test_only_what_must_move_moves(view: str, film_view: str, way: str) -> None:
    frames = frames_between(
        profile_for(FIGURES, view, where="t"), BOARD, view, film_view)  # type: ignore[arg-type]
    assert frames.way == way
    assert (outline_on_film(BOARD, frames).ring_mm is BOARD.ring_mm) == (way == "as drawn")
    assert frames.flat_length_mm is not None
    assert frames.plan_length_mm is not None
    assert frames.flat_length_mm > frames.plan_length_mm + 5


def test_without_a_profile_nothing_moves() -> None:
    frames = frames_between(None, BOARD, "flat", "plan")
    assert outline_on_film(BOARD, frames) is BOARD
    assert frames.plan_length_mm is None


def test_a_level_profile_changes_no_length() -> None:
    level = replace(FIGURES, camber_mm=0.0, nose_rise_mm=0.0, tail_rise_mm=0.0)
    for view in ("plan", "flat"):
        frames = frames_between(profile_for(level, view, where="t"), BOARD, view, "plan")
        assert frames.flat_length_mm == pytest.approx(frames.plan_length_mm, abs=1e-9)
