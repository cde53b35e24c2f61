"""Where art lies on a board, and which way up."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box
from shapely.geometry import Point

from preflight.art.placement import Flip, HowPlaced, Placement, place
from preflight.input_problem import InputProblem
from tests.plain_geometry import art_of

BOUNDS = (-800.0, -150.0, 820.0, 150.0)
TOP_LEFT, TOP_RIGHT, BOTTOM_LEFT = [0.0, 0.0], [1200.0, 0.0], [0.0, 240.0]


def corner(placement: Placement, uv: list[float]) -> tuple[float, float]:
    x, y = place(1200, 240, (-600.0, -600.0, 600.0, 600.0), placement).board_of(np.array(uv))
    return float(x), float(y)


def test_upright_art_points_its_top_to_the_nose() -> None:
    one_mm = Placement(how="scale", art_width_mm=1200.0)
    assert corner(one_mm, TOP_LEFT) == (120.0, 600.0)
    assert corner(one_mm, TOP_RIGHT) == (120.0, -600.0)
    assert corner(one_mm, BOTTOM_LEFT) == (-120.0, 600.0)


def test_turn_of_90_points_the_right_end_to_the_nose() -> None:
    turned = Placement(how="scale", art_width_mm=1200.0, turn_deg=90.0)
    assert corner(turned, TOP_RIGHT) == (600.0, 120.0)
    assert corner(turned, TOP_LEFT) == (-600.0, 120.0)
    assert corner(turned, BOTTOM_LEFT) == (-600.0, -120.0)
    assert corner(Placement(how="scale", art_width_mm=1200.0, art_up="left"),
                  TOP_RIGHT) == (600.0, 120.0)


def test_flips_mirror_the_board_frame() -> None:
    def flipped(flip: Flip, uv: list[float]) -> tuple[float, float]:
        return corner(Placement(how="scale", art_width_mm=1200.0, turn_deg=90.0, flip=flip), uv)

    assert flipped("across", TOP_RIGHT) == (600.0, -120.0)
    assert flipped("along", TOP_RIGHT) == (-600.0, 120.0)


def test_offset_moves_after_the_flip() -> None:
    moved = Placement(how="scale", art_width_mm=1200.0, turn_deg=90.0, flip="along",
                      offset_x_mm=10.0, offset_y_mm=-3.0)
    assert corner(moved, TOP_RIGHT) == (-590.0, 117.0)


def test_resolution_on_the_board() -> None:
    by_ppi = place(3000, 1000, BOUNDS, Placement(how="scale", ppi=254.0))
    assert by_ppi.mm_per_px == pytest.approx(0.1)
    assert by_ppi.ppi == pytest.approx(254.0)
    by_width = place(3000, 1000, BOUNDS, Placement(how="scale", art_width_mm=600.0))
    assert by_width.ppi == pytest.approx(127.0)


anywhere = st.builds(
    Placement, how=st.sampled_from(["fit", "fill"]), turn_deg=st.one_of(
        st.floats(-400, 400), st.sampled_from([0.0, 90.0, 180.0, 270.0, -90.0])),
    flip=st.sampled_from(["none", "along", "across"]),
    art_up=st.sampled_from(["nose", "left", "tail", "right"]))


@settings(max_examples=150, deadline=None)
@given(placement=anywhere, width=st.integers(8, 30000), height=st.integers(8, 30000))
def test_fit_lies_within_and_fill_covers(placement: Placement, width: int, height: int) -> None:
    art = place(width, height, BOUNDS, placement).polygon
    bounds = box(*BOUNDS)
    if placement.how == "fit":
        assert art.difference(bounds).area < 1e-5
        reach = np.abs(np.array(art.bounds) - np.array(BOUNDS))
        assert min(reach) < 1e-6  # as large as can be
    else:
        assert bounds.difference(art).area < 1e-5
        gaps = [art.exterior.distance(Point(corner)) for corner in bounds.exterior.coords]
        assert min(gaps) < 1e-6  # as small as can be


@settings(max_examples=150, deadline=None)
@given(placement=anywhere, u=st.floats(-9, 5000), v=st.floats(-9, 5000))
def test_board_and_art_coordinates_round_trip(placement: Placement, u: float, v: float) -> None:
    placed = place(4000, 1234, BOUNDS, placement)
    there = placed.board_of(np.array([[u, v]]))
    assert art_of(placed, there) == pytest.approx(np.array([[u, v]]), abs=1e-6)
    assert placed.to_board @ placed.to_art == pytest.approx(np.eye(3), abs=1e-9)
    assert 0.0 <= placed.turn_deg < 360.0


def test_quarter_turns_are_exact() -> None:
    for turn in (0.0, 90.0, 180.0, 270.0, 360.0, -90.0):
        assert place(700, 300, BOUNDS, Placement(turn_deg=turn)).is_right_angled
    assert not place(700, 300, BOUNDS, Placement(turn_deg=90.001)).is_right_angled


@pytest.mark.parametrize(("placement", "key"), [
    (Placement(how="scale"), "width"),
    (Placement(how="scale", art_width_mm=5.0, ppi=5.0), "width"),
    (Placement(how="scale", art_width_mm=-5.0), "width"),
    (Placement(how="scale", ppi=math.nan), "ppi"),
    (Placement(turn_deg=math.inf), "turn"),
    (Placement(offset_y_mm=math.nan), "offset"),
])
def test_unsound_placements_name_their_key(placement: Placement, key: str) -> None:
    with pytest.raises(InputProblem) as caught:
        place(100, 100, BOUNDS, placement, where="job.toml: art[1]")
    assert caught.value.where == f"job.toml: art[1].{key}"


@pytest.mark.parametrize("how", ["fit", "fill"])
def test_same_shape_fits_and_fills_alike(how: HowPlaced) -> None:
    placed = place(1620, 300, BOUNDS, Placement(how=how, turn_deg=90.0))
    assert placed.polygon.bounds == pytest.approx(BOUNDS)
