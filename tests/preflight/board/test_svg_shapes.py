"""Shapes of a drawing as runs of line."""

from __future__ import annotations

import pytest

from preflight.board.outline_pieces import Allowance
from preflight.board.svg_shapes import runs_of


@pytest.mark.parametrize(("kind", "radii"), [
    ("ellipse", {"rx": "20", "ry": "5"}), ("ellipse", {"rx": "12"}), ("circle", {"r": "8"})])
def test_circles_and_ellipses_lie_where_they_are_drawn(kind: str, radii: dict[str, str]) -> None:
    (run,) = runs_of(kind, {"cx": "30", "cy": "-7", **radii}, 0.01, Allowance(where="a.svg"))
    half = float(next(iter(radii.values()))), float(list(radii.values())[-1])
    assert run.points.min(axis=0) == pytest.approx((30 - half[0], -7 - half[1]), abs=0.01)
    assert run.points.max(axis=0) == pytest.approx((30 + half[0], -7 + half[1]), abs=0.01)
