"""Side profiles: there and back along the curve, and what is no profile."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from preflight.board.profile_table import read_profile_table
from preflight.board.side_profile import (
    ProfileFigures,
    profile_from_figures,
    profile_from_points,
)
from preflight.input_problem import InputProblem

X = np.linspace(-780, 780, 40)
BOWL = np.column_stack([X, 50 * (X / 780) ** 4])


@given(heights=st.lists(st.floats(-15, 15), min_size=20, max_size=20))
def test_stations_and_arc_lengths_lead_there_and_back(heights: list[float]) -> None:
    x = np.linspace(-780, 780, 20)
    profile = profile_from_points(np.column_stack([x, heights]), where="t")
    stations = np.linspace(-800, 800, 101)  # past both ends
    arcs = profile.arc_length_mm(stations)
    assert (np.diff(arcs) >= np.diff(stations) - 1e-9).all()
    assert profile.station_at(arcs) == pytest.approx(stations, abs=1e-7)
    assert profile.arc_length_mm(np.zeros(1))[0] == pytest.approx(0.0, abs=1e-12)


def test_a_level_board_is_as_long_as_it_looks() -> None:
    profile = profile_from_points(np.column_stack([X, np.full(40, 7.0)]), where="t")
    assert profile.developed_mm == pytest.approx(1560, abs=1e-9)
    assert profile.arc_length_mm(X) == pytest.approx(X, abs=1e-9)


def test_points_may_run_either_way_and_start_anywhere() -> None:
    profile = profile_from_points(BOWL, where="t")
    moved = profile_from_points(BOWL[::-1] + np.array([780.0, 3.0]), where="t")
    assert moved.developed_mm == pytest.approx(profile.developed_mm)
    assert moved.remarks == (
        "The side profile was moved by -780 mm along, so that its middle is mid-length.",)


@pytest.mark.parametrize(("points", "says"), [
    (BOWL[:7], "found 7 points of a side profile; at least 8 points would do."),
    (np.where(np.arange(40)[:, None] == 9, np.nan, BOWL), "found a point that is not a number"),
    (np.insert(BOWL, 20, BOWL[18], axis=0), "point 21: found an x that repeats or turns back"),
    (np.where([[False, True]], BOWL * 40, BOWL), "found a side profile that slopes at"),
    (BOWL * 0.1, "found a side profile 156 mm long"),
    (np.column_stack([np.linspace(-500, 500, 8), [0, 290, 0, 290, 0, 290, 0, 290]]),
     "would do."),
])
def test_what_is_no_profile_is_told_in_a_sentence(points: np.ndarray, says: str) -> None:
    with pytest.raises(InputProblem) as fault:
        profile_from_points(points, where="side.csv")
    assert says in str(fault.value)
    assert str(fault.value).startswith("side.csv")


def test_sparse_points_tell_no_length() -> None:
    x = np.linspace(-780, 780, 8)
    z = np.array([0, 75, 0, 75, 0, 75, 0, 75.0])
    with pytest.raises(InputProblem, match="points so far apart that the curve"):
        profile_from_points(np.column_stack([x, z]), where="side.csv")


def figures(**changes: float) -> ProfileFigures:
    return ProfileFigures(**{
        "length_mm": 1580.0, "camber_mm": 6.0, "nose_rise_mm": 52.0, "nose_length_mm": 200.0,
        "tail_rise_mm": 44.0, "tail_length_mm": 180.0, **changes})


def test_figures_give_their_heights() -> None:
    profile = profile_from_figures(figures(), where="t")
    stations = np.array([-790.0, -610.0, -10.0, 590.0, 790.0])
    assert profile.height_mm(stations) == pytest.approx([44, 0, 6, 0, 52], abs=1e-9)
    assert profile.slope(stations[1:4]) == pytest.approx(0.0, abs=1e-12)
    assert profile.slope(stations[-1:]) == pytest.approx(2 * 52 / 200)


@pytest.mark.parametrize(("changes", "says"), [
    ({"nose_length_mm": 1400.0}, "0 mm between the ends of a board 1580 mm long"),
    ({"nose_length_mm": 1500.0}, "between the ends of a board 1580 mm long"),
    ({"nose_rise_mm": 200.0, "nose_length_mm": 20.0}, "slopes at 87°"),
])
def test_figures_that_make_no_board(changes: dict[str, float], says: str) -> None:
    with pytest.raises(InputProblem, match=says):
        profile_from_figures(figures(**changes), where="t")


@pytest.mark.parametrize("text", [
    "x,z\n" + "\n".join(f"{x},{z}" for x, z in BOWL),
    "# a comment\nx_mm; z_mm\n" + "\n".join(f"{x};{z}".replace(".", ",") for x, z in BOWL),
    "Z (in)\tx_cm\n" + "\n".join(f"{z / 25.4:.12f}\t{x / 10:.12f}" for x, z in BOWL),
    "\n".join(f"{x:.12f}  {z:.12f}" for x, z in BOWL),
    "\n".join(f"{x:.12f} {z:.12f}".replace(".", ",") for x, z in BOWL),
])
def test_tables_are_read_as_people_write_them(tmp_path: Path, text: str) -> None:
    path = tmp_path / "side.csv"
    path.write_text(text, encoding="utf-8")
    told = profile_from_points(BOWL, where="t").developed_mm
    assert read_profile_table(path).developed_mm == pytest.approx(told, rel=1e-9)


@pytest.mark.parametrize(("text", "says"), [
    ("x,z\n1,2\n3,four\n", "line 3: found '3,four'; one x and one z in figures"),
    ("x;y\n1;2\n", "line 1: found 'x;y'"),
    ("1,2,3\n", "line 1: found '1,2,3'"), ("1,nan\n", "line 1: found '1,nan'"),
    ("", "found 0 points"), ("\0\xff", "line 1"),
])
def test_tables_that_are_none(tmp_path: Path, text: str, says: str) -> None:
    path = tmp_path / "side.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputProblem, match=says):
        read_profile_table(path)
    with pytest.raises(InputProblem, match="no such file"):
        read_profile_table(tmp_path / "none.csv")
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputProblem, match="something other than text"):
        read_profile_table(path)
