"""Dot shapes: areas above their levels, and where dots first touch."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.press.dot_shapes import DOT_SHAPES, ELLIPTICAL_WEIGHT, CosineSum
from preflight.press.halftone_spec import DotShape
from separations.halftone.spot_levels import levelled_spot


@pytest.mark.parametrize("shape", DOT_SHAPES)
def test_a_level_is_exceeded_by_the_share_it_was_asked_for(shape: DotShape) -> None:
    covers = np.linspace(0.002, 0.998, 997)
    places = np.arange(1500) + 0.5
    heights = np.sort(levelled_spot(shape).height(places[:, None] / 1500, places / 1500), axis=None)
    levels = levelled_spot(shape).level_of_cover(covers)
    found = 1 - np.searchsorted(heights, levels, side="right") / heights.size
    assert np.abs(found - covers).max() < 8e-4


@pytest.mark.parametrize("shape", DOT_SHAPES)
def test_a_hole_is_the_dot_of_the_complement(shape: DotShape) -> None:
    covers = np.linspace(0, 1, 201)
    levels = levelled_spot(shape).level_of_cover(covers)
    np.testing.assert_allclose(levels, -levels[::-1], atol=2e-5)
    assert (np.diff(levels) <= 0).all()


def test_round_dots_meet_on_all_sides_at_half() -> None:
    middle_of_a_side = levelled_spot("round").height([0.5, 0.0], [0.0, 0.5])
    level = levelled_spot("round").level_of_cover(np.array([0.5]))[0]
    np.testing.assert_allclose(middle_of_a_side, level, atol=1e-6)


def test_elliptical_dots_link_up_twice_between_40_and_60_percent() -> None:
    spot = levelled_spot("elliptical")
    assert DOT_SHAPES["elliptical"] == CosineSum(along=ELLIPTICAL_WEIGHT, across=1.0)
    covers = np.linspace(0.3, 0.7, 4001)
    levels = spot.level_of_cover(covers)
    along, across = (float(spot.height(*place)) for place in ((0.5, 0.0), (0.0, 0.5)))
    first = covers[np.searchsorted(-levels, -along)]
    second = covers[np.searchsorted(-levels, -across)]
    assert first == pytest.approx(0.42, abs=0.002)
    assert second == pytest.approx(0.58, abs=0.002)
    assert 0.40 <= first < second <= 0.60
