"""Outlines drawn by other libraries, read back against closed forms.

The drawings are written by ezdxf (M. Moitzi, ezdxf 1.4, MIT licence) and by drawsvg (C. Dean,
drawsvg 2.4, MIT licence). The curves are known in closed form: circles and their common tangents,
the ellipse with its perimeter 4 a E(e) (NIST Digital Library of Mathematical Functions, 19.9),
a circle as a rational B-spline (L. Piegl, W. Tiller, The NURBS Book, 2nd ed. 1997, section 7.5),
and B-splines and Bézier curves evaluated by scipy (scipy.interpolate.BSpline, BPoly).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import drawsvg
import ezdxf
import numpy as np
import pytest
from scipy.interpolate import BSpline
from scipy.special import ellipe
from shapely.geometry import LinearRing, Polygon

from preflight.board.outline_from_file import read_outline_file
from preflight.units import MM_PER_INCH
from tests.drawn_eggs import (
    AREA_MM2,
    AROUND_MM,
    LENGTH_MM,
    NOSE_R,
    NOSE_X,
    TAIL_R,
    TAIL_X,
    THETA,
    egg_corners,
    egg_path,
    greatest_stray_mm,
)

WITHIN_MM = 0.005


def _lwpolyline(space: Any, mm: float) -> None:
    space.add_lwpolyline(egg_corners(mm), format="xyb", close=True)


def _polyline(space: Any, mm: float) -> None:
    space.add_polyline2d(egg_corners(mm), format="xyb", close=True)


def _lines_and_arcs(space: Any, mm: float) -> None:
    a, b, c, d = [corner[:2] for corner in egg_corners(mm)]
    deg = math.degrees(THETA)
    space.add_line(d, a)
    space.add_arc((TAIL_X / mm, 0), TAIL_R / mm, deg, 360 - deg)
    space.add_line(c, b)  # drawn the other way, and out of order
    space.add_arc((NOSE_X / mm, 0), NOSE_R / mm, 360 - deg, deg)


def _splines_and_lines(space: Any, mm: float) -> None:
    """Each arc as three rational quadratic pieces."""
    a, b, c, d = [corner[:2] for corner in egg_corners(mm)]
    space.add_line(b, c)
    space.add_line(d, a)
    for x, radius, start, sweep in ((NOSE_X, NOSE_R, -THETA, 2 * THETA),
                                    (TAIL_X, TAIL_R, THETA, 2 * (math.pi - THETA))):
        step = sweep / 6
        angle = start + step * np.arange(7)
        weight = np.where(np.arange(7) % 2, math.cos(step), 1.0)
        reach = radius / weight
        points = np.column_stack([x + reach * np.cos(angle), reach * np.sin(angle)]) / mm
        space.add_rational_spline(points.tolist(), weight.tolist(), degree=2,
                                  knots=[0, 0, 0, 1, 1, 2, 2, 3, 3, 3])


def _turned_block(space: Any, mm: float) -> None:
    block = space.doc.blocks.new("EGG")
    block.add_lwpolyline(egg_corners(mm), format="xyb", close=True)
    space.add_blockref("EGG", (70, -30), dxfattribs={"rotation": 30})


def _mirrored_block(space: Any, mm: float) -> None:
    block = space.doc.blocks.new("EGG")
    _lines_and_arcs(block, mm)
    space.add_blockref("EGG", (7, 3), dxfattribs={"xscale": -1, "rotation": 90})


def _nested_block(space: Any, mm: float) -> None:
    """In a block of another scale; the layer of the inner one is the outer one's."""
    inner = space.doc.blocks.new("INNER")
    inner.add_polyline2d(egg_corners(mm * 2), format="xyb", close=True)
    outer = space.doc.blocks.new("OUTER")
    outer.add_blockref("INNER", (1, 1), dxfattribs={"xscale": -1, "yscale": 1})
    space.add_blockref("OUTER", (0, 0), dxfattribs={"xscale": 2, "yscale": 2, "rotation": 180})


def _turned_over(space: Any, mm: float) -> None:
    """Drawn in axes whose z points away: x runs the other way."""
    corners = [(-x, y, -bulge) for x, y, bulge in egg_corners(mm)]
    space.add_lwpolyline(corners, format="xyb", close=True, dxfattribs={"extrusion": (0, 0, -1)})


@pytest.mark.parametrize("draw", [
    _lwpolyline, _polyline, _lines_and_arcs, _splines_and_lines, _turned_block, _mirrored_block,
    _nested_block, _turned_over], ids=lambda f: f.__name__[1:])
@pytest.mark.parametrize(("code", "mm"), [(4, 1.0), (1, MM_PER_INCH), (6, 1000.0), (5, 10.0)],
                         ids=["mm", "inch", "metre", "cm"])
def test_dxf_entities_lie_on_the_curve(tmp_path: Path, draw: Callable[[Any, float], None],
                                       code: int, mm: float) -> None:
    document = ezdxf.new(units=code)
    draw(document.modelspace(), mm)
    path = tmp_path / "board.dxf"
    document.saveas(path)
    outline = read_outline_file(path)
    assert greatest_stray_mm(outline.ring_mm) < WITHIN_MM
    assert outline.length_mm == pytest.approx(LENGTH_MM, abs=0.005)
    assert outline.area_mm2 == pytest.approx(AREA_MM2, abs=AROUND_MM * WITHIN_MM)
    assert outline.polygon.length == pytest.approx(AROUND_MM, abs=0.05)
    # Some writers round to a few decimals; nothing of it may count.
    assert not any("gap" in remark for remark in outline.remarks)


def test_ellipse_against_its_integral(tmp_path: Path) -> None:
    a, b = 790.0, 140.0
    for name, entity in (("whole", True), ("block", False)):
        document = ezdxf.new(units=4)
        space = document.modelspace()
        if entity:
            space.add_ellipse((5, 6), major_axis=(0, a), ratio=b / a)
        else:  # a circle in a block that is stretched
            document.blocks.new("ROUND").add_circle((0, 0), 1.0)
            space.add_blockref("ROUND", (0, 0), dxfattribs={"xscale": a, "yscale": b})
        document.saveas(tmp_path / f"{name}.dxf")
        outline = read_outline_file(tmp_path / f"{name}.dxf")
        x, y = outline.ring_mm.T
        gradient = 2 * np.hypot(x / a**2, y / b**2)
        assert (np.abs((x / a) ** 2 + (y / b) ** 2 - 1) / gradient).max() < WITHIN_MM
        assert outline.area_mm2 == pytest.approx(math.pi * a * b, rel=2e-5)
        assert outline.polygon.length == pytest.approx(4 * a * ellipe(1 - (b / a) ** 2), abs=0.05)


def test_free_spline_against_scipy(tmp_path: Path) -> None:
    """A closed cubic B-spline with uneven knots."""
    angle = np.linspace(0, 2 * math.pi, 13)[:-1]
    handles = np.column_stack([800 * np.cos(angle), (150 + 12 * np.cos(angle)) * np.sin(angle)])
    handles = np.concatenate([handles, handles[:3]])
    document = ezdxf.new(units=4)
    spline = document.modelspace().add_spline(degree=3)
    knots = np.cumsum(1.0 + 0.3 * np.sin(np.arange(19) % 12))
    spline.control_points = handles.tolist()
    spline.knots = knots.tolist()
    document.saveas(tmp_path / "spline.dxf")
    outline = read_outline_file(tmp_path / "spline.dxf", nose="right")
    exact = BSpline(knots, handles, 3)(np.linspace(knots[3], knots[15], 8_001))[:-1]
    exact -= (exact.min(axis=0) + exact.max(axis=0)) / 2
    assert LinearRing(outline.ring_mm).hausdorff_distance(LinearRing(exact)) < 0.01
    assert outline.area_mm2 == pytest.approx(Polygon(exact).area, rel=1e-5)


def test_polyline_of_points_in_space_and_a_circle(tmp_path: Path) -> None:
    document = ezdxf.new(units=4)
    document.modelspace().add_circle((100, 200), 300)
    document.saveas(tmp_path / "round.dxf")
    outline = read_outline_file(tmp_path / "round.dxf")
    radius = np.linalg.norm(outline.ring_mm, axis=1)
    assert np.abs(radius - 300).max() < WITHIN_MM
    assert outline.area_mm2 == pytest.approx(math.pi * 300**2, rel=2e-5)
    document = ezdxf.new(units=4)
    document.modelspace().add_polyline3d(
        [(x, y, 7.0) for x, y in ((-500, -100), (500, -120), (500, 120), (-500, 100))], close=True)
    document.saveas(tmp_path / "plank.dxf")
    plank = read_outline_file(tmp_path / "plank.dxf")
    assert plank.area_mm2 == pytest.approx(1000 * 220)


def _saved(drawing: drawsvg.Drawing, path: Path, width: str, height: str) -> Path:
    text = drawing.as_svg()
    drawn = f'width="{drawing.width}" height="{drawing.height}"'
    assert drawn in text
    path.write_text(text.replace(drawn, f'width="{width}" height="{height}"', 1), encoding="utf-8")
    return path


@pytest.mark.parametrize(("width", "height", "unit_mm"), [
    ("1700mm", "400mm", 1.0), ("170cm", "40cm", 1.0), ("17in", "4in", 0.254),
    ("1224pt", "288pt", 0.254)])
@pytest.mark.parametrize("moved", ["", "rotate(90)", "translate(40 -20) rotate(-33.3)",
                                   "scale(-1 1)", "skewX(30) skewX(-30) matrix(0 1 1 0 5 6)"])
def test_svg_path_lies_on_the_curve(tmp_path: Path, width: str, height: str, unit_mm: float,
                                    moved: str) -> None:
    if unit_mm != 1.0:  # 1700 units on 17 inches: a scale of 0.254 mm a unit
        assert unit_mm == pytest.approx(17 * MM_PER_INCH / 1700)
    drawing = drawsvg.Drawing(1700, 400, origin="center")
    group = drawsvg.Group(transform=moved) if moved else drawsvg.Group()
    group.append(drawsvg.Raw(f'<path d="{egg_path(unit_mm)}" fill="none" stroke="black"/>'))
    drawing.append(group)
    outline = read_outline_file(_saved(drawing, tmp_path / "board.svg", width, height))
    assert greatest_stray_mm(outline.ring_mm) < WITHIN_MM
    assert outline.area_mm2 == pytest.approx(AREA_MM2, abs=AROUND_MM * WITHIN_MM)
    assert outline.polygon.length == pytest.approx(AROUND_MM, abs=0.05)


def test_svg_shapes(tmp_path: Path) -> None:
    """Each shape of the library, with its area in closed form."""
    rounded = 1400 * 260 - (4 - math.pi) * 100**2
    shapes: list[tuple[Any, float]] = [
        (drawsvg.Circle(3, 4, 400), math.pi * 400**2),
        (drawsvg.Ellipse(3, 4, 700, 130), math.pi * 700 * 130),
        (drawsvg.Rectangle(-700, -130, 1400, 260, rx=100), rounded),
        (drawsvg.Rectangle(-700, -130, 1400, 260, rx=100, ry=50),
         1400 * 260 - (4 - math.pi) * 100 * 50),
        (drawsvg.Lines(-700, -100, 700, -130, 700, 130, -700, 100, close=True), 1400 * 230),
        (drawsvg.ArcLine(0, 0, 500, 0, 359.99999), math.pi * 500**2)]
    for number, (shape, area) in enumerate(shapes):
        drawing = drawsvg.Drawing(1700, 1200, origin="center")
        drawing.append(shape)
        path = _saved(drawing, tmp_path / f"{number}.svg", "1700mm", "1200mm")
        outline = read_outline_file(path, nose="right")
        assert outline.area_mm2 == pytest.approx(area, rel=3e-5), number


def test_svg_path_commands_against_scipy(tmp_path: Path) -> None:
    """Relative and absolute, smooth and plain curves; the curves by Bernstein polynomials."""
    p = drawsvg.Path(fill="none", stroke="black")
    p.M(-600, 0).C(-600, -90, -560, -140, -400, -140).s(240, 40, 400, 40).S(200, -150, 400, -150)
    p.q(200, 0, 200, 150).T(400, 150).h(-1).H(300).v(-5).V(140).L(-400, 140)
    p.c(-160, 0, -200, -60, -200, -140).Z()
    drawing = drawsvg.Drawing(1700, 400, origin="center")
    drawing.append(p)
    outline = read_outline_file(_saved(drawing, tmp_path / "c.svg", "1700mm", "400mm"),
                                nose="right")

    def bezier(*handles: tuple[float, float]) -> Any:
        n = len(handles)
        knots = [0.0] * n + [1.0] * n
        return BSpline(knots, np.array(handles, float), n - 1)(np.linspace(0, 1, 2_001))

    exact = np.concatenate([
        bezier((-600, 0), (-600, -90), (-560, -140), (-400, -140)),
        bezier((-400, -140), (-240, -140), (-160, -100), (0, -100)),
        bezier((0, -100), (160, -100), (200, -150), (400, -150)),
        bezier((400, -150), (600, -150), (600, 0)),
        bezier((600, 0), (600, 150), (400, 150)),
        [(399, 150), (300, 150), (300, 145), (300, 140)],
        bezier((-400, 140), (-560, 140), (-600, 80), (-600, 0))]) * [1, -1]
    exact -= (exact.min(axis=0) + exact.max(axis=0)) / 2
    assert LinearRing(outline.ring_mm).hausdorff_distance(LinearRing(exact)) < 0.01


def test_svg_use_and_symbol(tmp_path: Path) -> None:
    drawing = drawsvg.Drawing(1700, 400, origin="center")
    drawing.append_def(drawsvg.Raw(f'<path id="half" d="{egg_path(2.0)}"/>'))
    drawing.append(drawsvg.Use("half", 5, -5, transform="scale(2)"))
    outline = read_outline_file(_saved(drawing, tmp_path / "u.svg", "1700mm", "400mm"))
    assert greatest_stray_mm(outline.ring_mm) < WITHIN_MM
