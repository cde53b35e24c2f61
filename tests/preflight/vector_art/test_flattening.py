"""Curves as corners, against the curves."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely import LineString, distance, points

from preflight.vector_art.flattening import arc


@pytest.mark.parametrize(("long", "short"), [(50.0, 50.0), (50.0, 4.0), (3.0, 60.0)])
def test_an_ellipse_lies_within_the_tolerance_of_its_pieces(long: float, short: float) -> None:
    tolerance = 0.01
    corners = arc((7.0, -2.0), (long, 0.0), (0.0, short), (0.0, 2 * math.pi), tolerance)
    t = np.linspace(0, 2 * np.pi, 5000)
    curve = np.column_stack([7.0 + long * np.cos(t), short * np.sin(t) - 2.0])
    pieces = LineString(np.vstack([corners[-1:], corners]))
    assert distance(points(curve), pieces).max() < 1.05 * tolerance
