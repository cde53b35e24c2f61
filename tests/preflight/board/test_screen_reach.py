"""What a flat screen reaches of a pressed board (closed forms: tests/published)."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.board.screen_reach import screen_reach
from preflight.board.side_profile import ProfileFigures, profile_from_figures, profile_from_points


def test_a_level_board_is_reached_from_end_to_end() -> None:
    x = np.linspace(-500, 500, 30)
    profile = profile_from_points(np.column_stack([x, np.zeros(30)]), where="t")
    reach = screen_reach(profile, off_contact_mm=3, press_down_mm=6)
    span, = reach.spans_mm
    assert span == pytest.approx((-500, 500))
    assert reach.through_mm == (None, None)
    assert reach.zone.bounds[0] == pytest.approx(-500)


def test_every_station_is_reached_just_where_the_gap_says_so() -> None:
    profile = profile_from_figures(ProfileFigures(
        length_mm=1580, camber_mm=7, nose_rise_mm=52, nose_length_mm=200, tail_rise_mm=44,
        tail_length_mm=180), where="t")
    reach = screen_reach(profile, off_contact_mm=2, press_down_mm=5)
    stations = np.linspace(-789.9, 789.9, 4001)
    gap = reach.mesh_z_mm - profile.height_mm(stations)
    told = np.zeros(len(stations), bool)
    for start, end in reach.spans_mm:
        told |= (stations >= start) & (stations <= end)
    assert (told == ((gap >= 0) & (gap <= 5))).all()
    assert len(reach.spans_mm) == 3  # the middle, and a strip of each rise


def test_no_gap_and_a_rocker_leave_only_the_middle() -> None:
    profile = profile_from_figures(ProfileFigures(
        length_mm=1580, camber_mm=-6, nose_rise_mm=52, nose_length_mm=200, tail_rise_mm=44,
        tail_length_mm=180), where="t")
    reach = screen_reach(profile, off_contact_mm=0.5, press_down_mm=6)
    (start, end), = reach.spans_mm
    assert -400 < start < 0 < end < 400
    assert reach.through_mm == pytest.approx((start, end))
