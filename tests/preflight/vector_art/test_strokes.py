"""Strokes against closed forms: straight lines, corners, caps, dashes, circles."""

from __future__ import annotations

import math

import numpy as np
import pytest

from preflight.vector_art.flattening import Subpath, arc, bezier
from preflight.vector_art.strokes import Pen, stroke_area

LINE = Subpath(points=np.array([[0.0, 0.0], [10.0, 0.0]]), closed=False)
SQUARE = Subpath(points=np.array([[0.0, 0], [10, 0], [10, 10], [0, 10]]), closed=True)
FINE = 1e-5


@pytest.mark.parametrize(("cap", "area"), [
    ("butt", 20.0), ("square", 24.0), ("round", 20 + math.pi)])
def test_caps(cap: str, area: float) -> None:
    drawn = stroke_area([LINE], Pen(width=2, cap=cap), FINE)  # type: ignore[arg-type]
    assert drawn.area == pytest.approx(area, rel=1e-4)


@pytest.mark.parametrize(("join", "area"), [
    ("miter", 80.0), ("bevel", 78.0), ("round", 76 + math.pi)])
def test_joins(join: str, area: float) -> None:
    drawn = stroke_area([SQUARE], Pen(width=2, join=join), FINE)  # type: ignore[arg-type]
    assert drawn.area == pytest.approx(area, rel=1e-4)


@pytest.mark.parametrize("limit", [3.8, 3.9])
def test_a_mitre_past_its_limit_is_bevelled(limit: float) -> None:
    half_angle = math.radians(15)  # its mitre is 1 / sin 15° = 3.86 widths long
    points = 50 * np.array([[math.cos(half_angle), -math.sin(half_angle)], [0, 0],
                            [math.cos(half_angle), math.sin(half_angle)]])
    drawn = stroke_area([Subpath(points=points, closed=False)],
                        Pen(width=2, miter_limit=limit), FINE)
    tip = 1 / math.sin(half_angle) if limit > 3.86 else math.sin(half_angle)
    assert -drawn.bounds[0] == pytest.approx(tip, rel=1e-6)


def test_a_circle_is_a_ring() -> None:
    points = arc((0, 0), (50, 0), (0, 50), (0, 2 * math.pi), 1e-4)
    drawn = stroke_area([Subpath(points=points, closed=True)], Pen(width=10), 1e-4)
    assert drawn.area == pytest.approx(math.pi * (55**2 - 45**2), rel=1e-5)
    assert len(drawn.interiors) == 1


@pytest.mark.parametrize(("dashes", "start", "area"), [
    ((3, 2), 0, 3 + 3), ((3, 2), 4, 3 + 3), ((3, 2), -1, 3 + 3), ((4,), 0, 4 + 2),
    ((2, 1, 3, 1), 1, 1 + 3 + 2 + 1), ((0.0, 0.0), 0, 10)])
def test_dashes(dashes: tuple[float, ...], start: float, area: float) -> None:
    drawn = stroke_area([LINE], Pen(width=1, dashes=dashes, dash_start=start), FINE)
    assert drawn.area == pytest.approx(area)


def test_a_line_without_length_is_a_dot_or_nothing() -> None:
    point = Subpath(points=np.array([[1.0, 1.0], [1.0, 1.0]]), closed=False)
    areas = [stroke_area([point], Pen(width=2, cap=cap), FINE).area
             for cap in ("butt", "square", "round")]
    assert areas == pytest.approx([0, 4, math.pi], rel=1e-4)


@pytest.mark.parametrize("controls", [
    [[0, 0], [40, 90], [80, 0]], [[0, 0], [100, 120], [-40, 120], [60, 0]]])
def test_curves_are_followed_within_their_tolerance(controls: list[list[float]]) -> None:
    control = np.array(controls, float)
    points = np.vstack([control[:1], bezier(control, 0.01)])
    degree = len(control) - 1
    t = np.linspace(0, 1, 5000)[:, None]
    true = sum(math.comb(degree, k) * t**k * (1 - t) ** (degree - k) * control[k]
               for k in range(degree + 1))
    assert isinstance(true, np.ndarray)
    start, way = points[:-1], np.diff(points, axis=0)
    along = ((true[:, None] - start) * way).sum(2) / (way**2).sum(1)
    near = start + np.clip(along, 0, 1)[:, :, None] * way
    off = np.sqrt(((true[:, None] - near) ** 2).sum(2)).min(1).max()
    assert 0.002 < off <= 0.01
