"""Drawings upright, sideways, reversed and askew come to lie nose ahead; asymmetry is told."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LinearRing

from preflight.board.outline_in_frame import NoseEnd, asymmetry_mm, in_board_frame
from preflight.board.outline_pieces import Allowance, Points
from preflight.board.svg_shapes import runs_of
from preflight.input_problem import InputProblem
from tests.drawn_eggs import egg_path, greatest_stray_mm


def egg() -> Points:
    """The egg with a point at least every 5 mm."""
    pieces = runs_of("path", {"d": egg_path()}, 0.0005, Allowance(where="egg"))
    ring = LinearRing(pieces[0].points * [1.0, -1.0]).segmentize(5.0)
    return np.asarray(ring.coords)[:-1]


def turned(ring: Points, deg: float) -> Points:
    c, s = np.cos(np.radians(deg)), np.sin(np.radians(deg))
    return np.asarray(ring @ np.array([[c, s], [-s, c]]))


@pytest.mark.parametrize(("deg", "says"), [
    (0, None), (90, "The drawing was turned by -90°: its wider end was drawn at the top."),
    (-90, "The drawing was turned by 90°: its wider end was drawn at the bottom."),
    (180, "The drawing was turned by 180°: its wider end was drawn at the left."),
    (30, "The drawing was turned by -30°: its wider end was drawn at the right."),
    (120, "The drawing was turned by -120°: its wider end was drawn at the top."),
    (250, "The drawing was turned by 110°: its wider end was drawn at the bottom.")])
def test_every_way_to_draw_it(deg: float, says: str | None) -> None:
    ring, remarks = in_board_frame(turned(egg(), deg) + np.array([300, -70]), "wider end", "a.dxf")
    assert greatest_stray_mm(ring) < 0.002
    assert LinearRing(ring).is_ccw
    assert (remarks[0] == says) if says else len(remarks) == 1
    assert remarks[-1] == "The board's two sides mirror each other within 0.001 mm."


@given(st.floats(-180, 180))
def test_any_angle(deg: float) -> None:
    ring, _ = in_board_frame(turned(egg()[::3], deg), "wider end", "a.dxf")
    # Lying within 0.01° it is left so, which is 0.14 mm at the tips.
    assert greatest_stray_mm(ring[:1]) < 0.15


def test_the_job_may_declare_the_nose() -> None:
    ring, remarks = in_board_frame(egg(), "left", "a.dxf")
    assert greatest_stray_mm(-ring) < 0.002
    assert remarks[:2] == (
        "The drawing was turned by 180°: the nose was drawn at the left.",
        "The job declares the narrower end to be the nose (268.2 mm, tail 300.0 mm).")
    with pytest.raises(InputProblem) as caught:
        in_board_frame(egg(), "top", "a.dxf")
    assert caught.value.sentence == ("a.dxf: found outline_nose = 'top' for a board drawn lying; "
                                     "'right', 'left' or 'wider end' would do.")


@pytest.mark.parametrize(("nose", "ahead"), [("wider end", "top"), ("bottom", "bottom")])
def test_equal_ends_are_told(nose: NoseEnd, ahead: str) -> None:
    angle = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    ring = np.column_stack([150 * np.cos(angle), 800 * np.sin(angle)])
    _, remarks = in_board_frame(ring, nose, "a.dxf")
    told = [r for r in remarks if "equally" in r]
    assert told == ([] if nose == "bottom" else [
        "Both ends of the board are equally wide; the end drawn at the top was taken for the nose "
        "(set outline_nose if it is the other one)."])
    assert remarks[0].endswith(f"the nose was drawn at the {ahead}.")


def test_asymmetry_is_measured_and_never_mirrored_away() -> None:
    ring = egg()
    bulged = ring + np.column_stack([np.zeros(len(ring)), np.where(
        ring[:, 1] > 0, 3.0 * np.exp(-(ring[:, 0] / 200) ** 2), 0.0)])
    assert asymmetry_mm(bulged) == pytest.approx(3.0, abs=0.01)
    laid, remarks = in_board_frame(turned(bulged, 90), "wider end", "a.dxf")
    assert remarks[-1] == (
        "The board's two sides differ: mirrored across its centre line the outline strays by up to "
        "3.00 mm. The drawing was taken as seen from the printed side.")
    assert LinearRing(laid).hausdorff_distance(LinearRing(bulged)) < 1e-4  # its middle


def test_a_lopsided_board_drawn_straight_stays_straight() -> None:
    """Its axis of inertia leans; that is no reason to turn it."""
    ring = egg()
    lop = ring + np.column_stack([np.zeros(len(ring)), np.where(
        ring[:, 1] > 0, 20.0 * np.exp(-((ring[:, 0] - 400) / 150) ** 2), 0.0)])
    laid, remarks = in_board_frame(lop, "right", "a.dxf")
    assert not any("turned" in remark for remark in remarks)
    assert np.ptp(laid, axis=0) == pytest.approx(np.ptp(lop, axis=0))
