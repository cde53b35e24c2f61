"""SVG shapes as lines of points."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any
from xml.etree.ElementTree import Element

import numpy as np
from svgelements import Arc, Close, CubicBezier, Move, Path, QuadraticBezier

from preflight.files.svg_file import local_name
from preflight.vector_art.flattening import Points, Subpath, arc, bezier
from preflight.vector_art.svg_lengths import SvgFault, length_px, numbers

SHAPES = frozenset({"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"})
_READER_FAULTS = (ValueError, TypeError, IndexError, KeyError, AttributeError, ArithmeticError)
_MOST_COORDINATE = 1e7


def subpaths_of(element: Element, page: tuple[float, float], tolerance: float) -> list[Subpath]:
    """A basic shape or path as lines, curves followed within ``tolerance`` user units.

    Parameters
    ----------
    element : Element
        One of `SHAPES`.
    page : tuple of float
        Width and height that percentages are of.

    Raises
    ------
    SvgFault
        When the shape cannot be read.
    """
    name = local_name(element)
    if name == "path":
        return _path(element.get("d", ""), tolerance)
    if name in ("polyline", "polygon"):
        values = numbers(element.get("points", ""))
        points = np.array(values[:len(values) // 2 * 2], float).reshape(-1, 2)
        return [Subpath(points=points, closed=name == "polygon")] if len(points) > 1 else []

    def side(key: str, whole: float, otherwise: str = "0") -> float:
        return length_px(element.get(key, otherwise), whole)

    if name == "line":
        return [Subpath(points=np.array([[side("x1", page[0]), side("y1", page[1])],
                                         [side("x2", page[0]), side("y2", page[1])]]),
                        closed=False)]
    if name == "rect":
        return _rect(side("x", page[0]), side("y", page[1]), side("width", page[0]),
                     side("height", page[1]), _radii(element, page), tolerance)
    diagonal = math.hypot(*page) / math.sqrt(2)
    along, across = ((side("r", diagonal),) * 2 if name == "circle"
                     else (side("rx", page[0]), side("ry", page[1])))
    if along <= 0 or across <= 0:
        return []
    centre = side("cx", page[0]), side("cy", page[1])
    return [Subpath(points=arc(centre, (along, 0.0), (0.0, across), (0.0, 2 * math.pi), tolerance),
                    closed=True)]


def _radii(element: Element, page: tuple[float, float]) -> tuple[float, float]:
    rx, ry = element.get("rx", element.get("ry")), element.get("ry", element.get("rx"))
    if rx is None or ry is None or "auto" in (rx, ry):
        return 0.0, 0.0
    return length_px(rx, page[0]), length_px(ry, page[1])


def _rect(x: float, y: float, width: float, height: float, radii: tuple[float, float],
          tolerance: float) -> list[Subpath]:
    if width <= 0 or height <= 0:
        return []
    rx, ry = min(max(radii[0], 0.0), width / 2), min(max(radii[1], 0.0), height / 2)
    right, bottom = x + width, y + height
    if rx == 0 or ry == 0:
        corners = [[x, y], [right, y], [right, bottom], [x, bottom]]
        return [Subpath(points=np.array(corners), closed=True)]
    middles = ((right - rx, y + ry), (right - rx, bottom - ry), (x + rx, bottom - ry),
               (x + rx, y + ry))
    quarter = math.pi / 2
    points: list[Points] = []
    for number, centre in enumerate(middles):
        turn = (number - 1) * quarter
        start = [[centre[0] + rx * math.cos(turn), centre[1] + ry * math.sin(turn)]]
        points += [np.array(start),
                   arc(centre, (rx, 0.0), (0.0, ry), (turn, turn + quarter), tolerance)]
    return [Subpath(points=np.vstack(points), closed=True)]


def _path(text: str, tolerance: float) -> list[Subpath]:
    try:
        return list(_pieces(Path(text), tolerance))
    except SvgFault:
        raise
    except _READER_FAULTS:
        raise SvgFault(f"the path '{text[:40]}'") from None


def _pieces(path: Any, tolerance: float) -> Iterator[Subpath]:
    points: list[Points] = []
    closed = False
    for segment in path:
        if isinstance(segment, Move):
            if points:
                yield Subpath(points=np.vstack(points), closed=closed)
            points, closed = [_point(segment.end)], False
            continue
        if closed:  # drawing goes on from where the line was closed
            yield Subpath(points=np.vstack(points), closed=True)
            points, closed = [points[0][:1]], False
        if isinstance(segment, Close):
            closed = True
        else:
            points.append(_followed(segment, tolerance))
    if points:
        yield Subpath(points=np.vstack(points), closed=closed)


def _followed(segment: Any, tolerance: float) -> Points:
    """Points of one segment of a path, its start left out."""
    if isinstance(segment, Arc):
        return _arc(segment, tolerance)
    controls = ("control1", "control2") if isinstance(segment, CubicBezier) else (
        ("control",) if isinstance(segment, QuadraticBezier) else ())
    if not controls:
        return _point(segment.end)
    return bezier(np.vstack([_point(getattr(segment, name)) for name in
                             ("start", *controls, "end")]), tolerance)


def _arc(segment: Any, tolerance: float) -> Points:
    centre, along, across = (_point(p)[0] for p in (segment.center, segment.prx, segment.pry))
    if not (np.any(along != centre) and np.any(across != centre)):
        return _point(segment.end)
    begin = float(segment.get_start_t())
    points = arc((centre[0], centre[1]), tuple(along - centre), tuple(across - centre),
                 (begin, begin + float(segment.sweep)), tolerance)
    points[-1] = _point(segment.end)[0]
    return points


def _point(point: Any) -> Points:
    made = np.array([[float(point.x), float(point.y)]])
    if not np.abs(made).max() < _MOST_COORDINATE:
        raise SvgFault("a coordinate out of reach")
    return made
