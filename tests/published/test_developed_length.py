"""Developed lengths and reach against closed forms of plane geometry.

Circle: an arc over the chord from -c to c of radius R measures 2 R asin(c / R). Parabola z = a x²:
the integral of √(1 + z'²), taken by scipy's adaptive quadrature (QUADPACK). A camber
z = c (1 - u²)² lies under its middle by no more than d where u² <= 1 - √(1 - d / c).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from preflight.board.developed_outline import frames_between
from preflight.board.outline_from_numbers import BoardNumbers, outline_from_numbers
from preflight.board.screen_reach import screen_reach
from preflight.board.side_profile import (
    ProfileFigures,
    SideProfile,
    profile_from_figures,
    profile_from_points,
)


def parabola_mm(x: float, a: float) -> float:
    return float(quad(lambda u: math.hypot(1.0, 2 * a * u), 0.0, x, epsabs=1e-11, epsrel=1e-12)[0])


def arc_profile(radius: float, chord: float, points: int) -> SideProfile:
    x = np.linspace(-chord / 2, chord / 2, points)
    return profile_from_points(np.column_stack([x, radius - np.sqrt(radius**2 - x**2)]), where="t")


def camber_board(camber: float, nose: float = 0.0, tail: float = 0.0) -> SideProfile:
    return profile_from_figures(ProfileFigures(
        length_mm=1580, camber_mm=camber, nose_rise_mm=nose, nose_length_mm=200,
        tail_rise_mm=tail, tail_length_mm=180), where="t")


@pytest.mark.parametrize(("radius", "points"), [(1000, 81), (2500, 41), (9000, 21)])
def test_a_circular_arc_develops_to_its_length(radius: float, points: int) -> None:
    profile = arc_profile(radius, 1500, points)
    assert profile.developed_mm == pytest.approx(2 * radius * math.asin(750 / radius), rel=1e-6)
    x = np.array([-700.0, -3.0, 0.0, 250.0, 749.0])
    assert profile.arc_length_mm(x) == pytest.approx(radius * np.arcsin(x / radius), rel=1e-6)


def test_a_parabola_develops_to_its_length_from_points_and_from_figures() -> None:
    a = 60 / 750**2
    x = np.linspace(-750, 750, 31)
    profile = profile_from_points(np.column_stack([x, a * x**2]), where="t")
    assert profile.developed_mm == pytest.approx(2 * parabola_mm(750, a), rel=1e-9)
    board = camber_board(0.0, nose=52, tail=44)
    told = 1580 - 200 - 180 + parabola_mm(200, 52 / 200**2) + parabola_mm(180, 44 / 180**2)
    assert board.developed_mm == pytest.approx(told, rel=1e-11)


def test_a_plan_outline_develops_to_the_same_length() -> None:
    outline = outline_from_numbers(BoardNumbers(
        length_mm=1580, contact_length_mm=1190, nose_width_mm=298, waist_width_mm=254,
        taper_mm=8), where="t")
    frames = frames_between(camber_board(0.0, nose=52, tail=44), outline, "plan", "flat")
    ring = frames.ring_on_film(outline.ring_mm)
    told = 1200 + parabola_mm(200, 52 / 200**2) + parabola_mm(180, 44 / 180**2)
    assert np.ptp(ring[:, 0]) == pytest.approx(told, rel=1e-9)
    assert frames.flat_length_mm == pytest.approx(told, rel=1e-9)


@pytest.mark.parametrize(("camber", "off", "press"), [(6.0, 3.0, 6.0), (8.0, 1.6, 4.0)])
def test_a_camber_is_reached_as_far_as_its_closed_form(
    camber: float, off: float, press: float
) -> None:
    reach = screen_reach(camber_board(camber), off_contact_mm=off, press_down_mm=press)
    u = math.sqrt(1 - math.sqrt(1 - (press - off) / camber))
    # Contact points at -610 and 590 mm: the camber's middle is 10 mm towards the tail.
    top = camber * (1 - (10 / 600) ** 2) ** 2  # the gap is set at mid-length
    u_set = math.sqrt(1 - math.sqrt((top - (press - off)) / camber))
    span, = reach.spans_mm
    assert span == pytest.approx((-10 - 600 * u_set, -10 + 600 * u_set), abs=1e-6)
    assert u_set == pytest.approx(u, abs=1e-3)


def test_turned_up_ends_end_the_reach_where_they_rise_through_the_mesh() -> None:
    reach = screen_reach(camber_board(0.0, nose=52, tail=44), off_contact_mm=3.0,
                         press_down_mm=6.0)
    nose, tail = 590 + 200 * math.sqrt(3 / 52), -610 - 180 * math.sqrt(3 / 44)
    span, = reach.spans_mm
    assert span == pytest.approx((tail, nose), abs=1e-6)
    assert reach.through_mm == pytest.approx((tail, nose), abs=1e-6)
