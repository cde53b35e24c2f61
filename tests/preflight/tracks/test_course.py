"""Tracks smoothed within their tolerance, and courses kept apart."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import LineString

from preflight.tracks.course import STEP_MM, Course, along, even_course, runs, without_short
from preflight.tracks.courses_apart import kept_apart


def shaken(seed: int = 1) -> np.ndarray:
    rng = np.random.default_rng(seed)
    x = np.linspace(0, 100, 400)
    return np.column_stack([x, 8 * np.sin(x / 12)]) + rng.normal(0, 0.1, (400, 2))


def straight(y: float = 0.0, count: int = 400) -> Course:
    x = np.arange(count) * STEP_MM
    return Course(points_mm=np.column_stack([x, np.full(count, y)]),
                  hidden=np.zeros(count, bool))


@pytest.mark.parametrize("tolerance", [0.0, 0.1, 0.5, 2.0])
def test_smoothing_keeps_the_tolerance_and_shortens_what_shakes(tolerance: float) -> None:
    track = shaken()
    course = even_course(track, np.zeros(len(track), bool), tolerance)
    assert course is not None
    line = LineString(track)
    assert line.hausdorff_distance(LineString(course.points_mm)) <= tolerance + STEP_MM
    assert along(course.points_mm)[-1] <= line.length + 1e-6
    if tolerance >= 0.5:
        assert along(course.points_mm)[-1] < 0.9 * line.length
    assert course.points_mm[[0, -1]] == pytest.approx(track[[0, -1]])


def test_hidden_parts_stay_where_they_are() -> None:
    track = np.column_stack([np.linspace(0, 60, 61), np.zeros(61)])
    hidden = (track[:, 0] >= 20) & (track[:, 0] <= 40)
    course = even_course(track, hidden, 0.3)
    assert course is not None
    (first, end), = runs(course.hidden)
    assert course.points_mm[first, 0] == pytest.approx(19.5, abs=0.7)
    assert course.points_mm[end, 0] == pytest.approx(40, abs=0.7)


def test_specks_between_seen_and_hidden_go() -> None:
    flags = np.zeros(60, bool)
    flags[10:40] = True
    flags[20:23] = False  # 0.45 mm
    flags[50:53] = True
    assert runs(without_short(flags, np.linspace(0, 59 * STEP_MM, 60))) == [(10, 40)]


def test_a_track_that_stays_is_none() -> None:
    assert even_course(np.zeros((5, 2)), np.zeros(5, bool), 0.3) is None


def least_gap(one: np.ndarray, other: np.ndarray) -> float:
    return float(LineString(one).distance(LineString(other)))


def test_a_course_beside_another_is_moved_to_the_distance_asked_for() -> None:
    x = np.arange(400) * STEP_MM
    beside = Course(points_mm=np.column_stack([x, 0.3 + 0.1 * np.sin(x / 4)]),
                    hidden=np.zeros(400, bool))
    apart = kept_apart(beside, [(straight().points_mm, 1.2)], 1.2)
    assert least_gap(apart.course.points_mm, straight().points_mm) == pytest.approx(1.2, abs=0.02)
    assert (apart.course.points_mm[:, 1] > 0).all()  # on the side where it lay
    assert apart.moved_mm == pytest.approx(1.0, abs=0.05)
    assert apart.moved_over_mm == pytest.approx(60, abs=1)


def test_the_same_way_twice_is_drawn_side_by_side() -> None:
    there = np.arange(200) * STEP_MM
    x = np.concatenate([there, there[::-1]])
    y = np.concatenate([np.zeros(200), np.full(200, 0.01)])
    back = kept_apart(Course(points_mm=np.column_stack([x, y]), hidden=np.zeros(400, bool)), [],
                      0.8)
    second = back.course.points_mm[260:]
    assert np.abs(second[:100, 1]) == pytest.approx(0.8, abs=0.05)


def test_a_crossing_and_what_lies_far_off_stay() -> None:
    up = Course(points_mm=np.column_stack([np.full(200, 30.0), (np.arange(200) - 100) * STEP_MM]),
                hidden=np.zeros(200, bool))
    for other in (straight().points_mm, straight(40.0).points_mm):
        apart = kept_apart(up, [(other, 1.2)], 1.2)
        assert apart.moved_mm == 0
        assert np.array_equal(apart.course.points_mm, up.points_mm)


def test_a_loop_crosses_itself_once() -> None:
    turn = np.linspace(-np.pi, np.pi, 900)
    loop = np.column_stack([20 * np.sin(turn), 10 * np.sin(2 * turn + 0.4)])
    course = even_course(loop, np.zeros(900, bool), 0.0)
    assert course is not None
    apart = kept_apart(course, [], 0.9)
    assert len(apart.crossings) == 1
