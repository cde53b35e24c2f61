"""Which of two inks runs under the other, how far, and that gaps stay open."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPolygon, Point, box

from preflight.vector_art.lettering import open_face, set_words
from separations.planes.traps import (
    TrapRule,
    choke,
    gaps_narrower_than,
    narrower_than,
    split_spread,
    spread,
    trap_between,
)

RULE = TrapRule(width_mm=0.25)
LEFT, RIGHT = box(0, 0, 10, 10), box(10, 0, 20, 10)


def test_the_lighter_runs_into_the_darker_side_by_side() -> None:
    light_below = trap_between(LEFT, RIGHT, RULE, lower_lightness=80, upper_lightness=30)
    assert light_below.lower_keeps.bounds == pytest.approx((10, 0, 10.25, 10))
    assert light_below.upper_gains.is_empty
    light_above = trap_between(LEFT, RIGHT, RULE, lower_lightness=30, upper_lightness=80)
    assert light_above.upper_gains.bounds == pytest.approx((9.75, 0, 10, 10))
    assert light_above.lower_keeps.is_empty


def test_an_island_and_its_sea() -> None:
    island = Point(5, 5).buffer(3, quad_segs=64)
    sea = LEFT.difference(island)
    under = trap_between(sea, island, RULE, lower_lightness=70, upper_lightness=20).lower_keeps
    assert under.area == pytest.approx(math.pi * (9 - 2.75**2), rel=0.01)
    over = trap_between(sea, island, RULE, lower_lightness=20, upper_lightness=70).upper_gains
    assert over.area == pytest.approx(math.pi * (3.25**2 - 9), rel=0.01)
    assert over.within(spread(sea, 1e-9))


@pytest.mark.parametrize("other", [box(10.3, 0, 20, 10), box(50, 50, 60, 60)])
def test_what_does_not_touch_needs_no_trap(other: object) -> None:
    trap = trap_between(LEFT, other, RULE, lower_lightness=80,
                        upper_lightness=30)
    assert trap.lower_keeps.is_empty
    assert trap.upper_gains.is_empty


def test_no_width_no_trap() -> None:
    trap = trap_between(LEFT, RIGHT, TrapRule(width_mm=0), lower_lightness=80, upper_lightness=3)
    assert trap.lower_keeps.is_empty
    split = split_spread(LEFT, TrapRule(width_mm=0))
    assert split.grown.equals(LEFT)
    assert split.cleared.equals(LEFT)


@pytest.mark.parametrize(("gap", "grows"), [(5.0, 0.25), (0.75, 0.25), (0.65, 0.1875), (0.5, 0.125),
                                            (0.35, 0.0625), (0.25, 0.0)])
def test_a_spread_keeps_gaps_open_and_the_overlap_whole(gap: float, grows: float) -> None:
    bars = MultiPolygon([box(0, 0, 1, 10), box(1 + gap, 0, 2 + gap, 10)])
    split = split_spread(bars, TrapRule(width_mm=0.25, least_gap_mm=0.2))
    assert split.grown.bounds[0] == pytest.approx(-grows)
    assert split.cleared.bounds[0] == pytest.approx(0.25 - grows)


def test_letters_keep_their_counters() -> None:
    word = set_words("oae", open_face(), 4.1, where="").area
    holes = [len(part.interiors) for part in word.geoms]
    split = split_spread(word, TrapRule(width_mm=0.25, least_gap_mm=0.2))
    grown = getattr(split.grown, "geoms", [split.grown])
    assert sum(len(part.interiors) for part in grown) == sum(holes) == 3
    assert gaps_narrower_than(word, 0.7).area > 0


@pytest.mark.parametrize(("stroke", "drawn_in"), [(0.8, 0.25), (0.72, 0.25), (0.6, 0.1875),
                                                  (0.46, 0.125), (0.34, 0.0625), (0.3, 0.0)])
def test_strokes_with_no_room_to_grow_are_cleared_all_the_same(stroke: float,
                                                              drawn_in: float) -> None:
    """0.2 mm of each stroke stays open, whatever is left for the trap."""
    bars = MultiPolygon([box(0, 0, stroke, 10), box(stroke + 0.25, 0, 2 * stroke + 0.25, 10)])
    split = split_spread(bars, TrapRule(width_mm=0.25, least_gap_mm=0.2))
    assert split.grown.equals(bars)
    assert split.cleared.bounds[0] == pytest.approx(drawn_in)


@given(st.floats(0.05, 1.0), st.floats(0.05, 0.9))
def test_choke_lies_within_and_spread_around(by_mm: float, radius: float) -> None:
    shape = box(0, 0, 6, 4).difference(Point(2, 2).buffer(radius))
    assert choke(shape, by_mm).within(shape)
    assert shape.within(spread(shape, by_mm))


@pytest.mark.parametrize(("width", "thin"), [(0.101, 0.0), (0.1, 0.0), (0.098, 0.98)])
def test_thin_lines_are_told_from_those_just_wide_enough(width: float, thin: float) -> None:
    drawing = MultiPolygon([box(0, 0, 10, width), box(0, 3, 10, 8)])
    assert narrower_than(drawing, 0.1).area == pytest.approx(thin, abs=0.01)
    gap = box(0, 0, 10, 2 + width).difference(box(-1, 1, 11, 1 + width))
    assert gaps_narrower_than(gap, 0.1).area == pytest.approx(thin, abs=0.03)
