"""Fill rules against closed forms and against counting crossings of pixels."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from shapely import Point

from preflight.vector_art.ring_area import ring_area

STAR = np.array([[math.cos(k * 4 * math.pi / 5), math.sin(k * 4 * math.pi / 5)] for k in range(5)])
PENTAGON_RADIUS = math.cos(2 * math.pi / 5) / math.cos(math.pi / 5)
PENTAGON = 2.5 * PENTAGON_RADIUS**2 * math.sin(2 * math.pi / 5)
#: Ten triangles from the middle: a tip at radius 1 and an inner corner, 36° apart.
WHOLE_STAR = 5 * PENTAGON_RADIUS * math.sin(math.pi / 5)


def square(side: float, *, backwards: bool = False) -> np.ndarray:
    corners = np.array([[0, 0], [side, 0], [side, side], [0, side]], float) - side / 2
    return corners[::-1] if backwards else corners


def test_a_star_by_both_rules() -> None:
    assert ring_area([STAR]).area == pytest.approx(WHOLE_STAR, rel=1e-12)
    assert ring_area([STAR], "evenodd").area == pytest.approx(WHOLE_STAR - PENTAGON, rel=1e-12)


@pytest.mark.parametrize(("backwards", "rule", "area"), [
    (False, "nonzero", 16), (True, "nonzero", 12), (False, "evenodd", 12), (True, "evenodd", 12)])
def test_a_hole_by_its_direction(backwards: bool, rule: str, area: float) -> None:
    rings = [square(4), square(2, backwards=backwards)]
    assert ring_area(rings, rule).area == pytest.approx(area)  # type: ignore[arg-type]


def test_what_encloses_nothing_is_empty() -> None:
    assert ring_area([]).is_empty
    assert ring_area([np.array([[0.0, 0], [1, 1]])]).is_empty
    assert ring_area([np.array([[0.0, 0], [1, 1], [2, 2]])]).area == 0


@given(arrays(np.int8, (7, 2), elements=st.integers(0, 12)))
def test_any_ring_against_crossings_of_a_ray(corners: np.ndarray) -> None:
    ring = corners.astype(float)
    area = ring_area([ring], "evenodd")
    assert area.is_valid
    ends = np.roll(ring, -1, axis=0)
    for x, y in np.random.default_rng(1).uniform(0, 12, (12, 2)):
        crossed = 0
        for (x0, y0), (x1, y1) in zip(ring, ends, strict=True):
            if (y0 > y) != (y1 > y) and x < x0 + (y - y0) / (y1 - y0) * (x1 - x0):
                crossed += 1
        assert area.contains(Point(x, y)) == bool(crossed % 2)
