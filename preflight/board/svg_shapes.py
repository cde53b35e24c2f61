"""SVG shapes and paths as points in their own coordinates, before any transform."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np
from svgelements import Arc, Close, CubicBezier, Line, Move, Path, QuadraticBezier

from preflight.board.outline_pieces import Allowance, Points, flattened
from preflight.units import MM_PER_INCH, POINTS_PER_INCH

#: CSS pixels to one of each unit; a pixel is 1/96 inch.
#: Source: CSS Values and Units Module Level 3, 5.2.
PX_PER_INCH = 96.0
PX_PER = {"": 1.0, "px": 1.0, "in": PX_PER_INCH, "mm": PX_PER_INCH / MM_PER_INCH,
          "cm": 10 * PX_PER_INCH / MM_PER_INCH, "q": PX_PER_INCH / MM_PER_INCH / 4,
          "pt": PX_PER_INCH / POINTS_PER_INCH, "pc": 12 * PX_PER_INCH / POINTS_PER_INCH}
#: An absolute length: number and unit; what is relative (%, em) has no unit of this list.
_LENGTH = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?)\s*([a-z%]*)\s*", re.IGNORECASE)
_NUMBERS = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?", re.IGNORECASE)
_MOST_PATH_LETTERS = 4_000_000


class ShapeFault(ValueError):
    """A shape says something that cannot be drawn; the message is what was found."""


class Run(NamedTuple):
    """Points (N, 2) in the shape's own coordinates, y down, and whether they close."""

    points: Points
    closed: bool


class WrittenLength(NamedTuple):
    """A length as it stands in the file."""

    value: float
    unit: str

    @property
    def px(self) -> float:
        """In CSS pixels; raises `ShapeFault` for units that hang on something else."""
        factor = PX_PER.get(self.unit)
        if factor is None:
            raise ShapeFault(f"the relative length {self.value:g}{self.unit}")
        return self.value * factor


def written_length(text: str) -> WrittenLength:
    """Read a length such as ``12``, ``12.5mm`` or ``100%``; raises `ShapeFault`."""
    match = _LENGTH.fullmatch(text)
    if match is None or not math.isfinite(float(match[1])):
        raise ShapeFault(f"{text[:40]!r} for a length")
    return WrittenLength(float(match[1]), match[2].lower())


def runs_of(kind: str, attributes: Mapping[str, str], chord_error: float, allowance: Allowance
            ) -> list[Run]:
    """The runs of line of one shape.

    Parameters
    ----------
    kind : str
        Local name of the element.
    attributes : mapping
        The element's.
    chord_error : float
        How far chords may stray from curves, in the shape's own units.
    allowance : Allowance
        Pays for the points.

    Raises
    ------
    ShapeFault
        When an attribute makes no sense.
    """
    def px(name: str) -> float:
        return written_length(attributes[name]).px if name in attributes else 0.0

    if kind == "path":
        return _path_runs(attributes.get("d", ""), chord_error, allowance)
    if kind in ("polyline", "polygon"):
        return _point_runs(attributes.get("points", ""), kind == "polygon", allowance)
    if kind == "line":
        return [Run(np.array([[px("x1"), px("y1")], [px("x2"), px("y2")]]), False)]
    if kind in ("circle", "ellipse"):
        rx, ry = (px("r"), px("r")) if kind == "circle" else _both_radii(attributes, px)
        return _ellipse_runs(px("cx"), px("cy"), rx, ry, chord_error, allowance)
    if kind == "rect":
        rx, ry = _both_radii(attributes, px)
        return _rect_runs((px("x"), px("y"), px("width"), px("height")), rx, ry, chord_error,
                          allowance)
    return []


def _both_radii(attributes: Mapping[str, str], px: Any) -> tuple[float, float]:
    """rx and ry; one that is missing or ``auto`` is as great as the other."""
    given = [name in attributes and attributes[name].strip() != "auto" for name in ("rx", "ry")]
    rx = px("rx") if given[0] else None
    ry = px("ry") if given[1] else None
    return (rx if rx is not None else ry or 0.0), (ry if ry is not None else rx or 0.0)


def _ellipse_runs(cx: float, cy: float, rx: float, ry: float, chord_error: float,
                  allowance: Allowance) -> list[Run]:
    if rx <= 0.0 or ry <= 0.0:
        return []
    return [Run(flattened(
        lambda t: np.column_stack([cx + rx * np.cos(t), cy + ry * np.sin(t)]),
        np.linspace(0.0, math.tau, 5), chord_error, allowance), True)]


def _rect_runs(box: tuple[float, float, float, float], rx: float, ry: float, chord_error: float,
               allowance: Allowance) -> list[Run]:
    x, y, width, height = box
    if width <= 0.0 or height <= 0.0:
        return []
    rx, ry = min(rx, width / 2), min(ry, height / 2)
    if rx <= 0.0 or ry <= 0.0:
        return [Run(np.array([[x, y], [x + width, y], [x + width, y + height], [x, y + height]]),
                    True)]
    path = (f"M{x + rx!r},{y!r} H{x + width - rx!r} A{rx!r},{ry!r} 0 0 1 {x + width!r},{y + ry!r} "
            f"V{y + height - ry!r} A{rx!r},{ry!r} 0 0 1 {x + width - rx!r},{y + height!r} "
            f"H{x + rx!r} A{rx!r},{ry!r} 0 0 1 {x!r},{y + height - ry!r} V{y + ry!r} "
            f"A{rx!r},{ry!r} 0 0 1 {x + rx!r},{y!r} Z")
    return _path_runs(path, chord_error, allowance)


def _point_runs(text: str, closed: bool, allowance: Allowance) -> list[Run]:
    numbers = [float(match) for match in _NUMBERS.findall(text)]
    if len(numbers) % 2:
        raise ShapeFault("an odd number of coordinates in a list of points")
    allowance.take_points(len(numbers) // 2)
    return [Run(np.array(numbers).reshape(-1, 2), closed)] if len(numbers) >= 4 else []


def _path_runs(text: str, chord_error: float, allowance: Allowance) -> list[Run]:
    if len(text) > _MOST_PATH_LETTERS:
        raise ShapeFault(f"a path of {len(text):,} letters")
    try:
        segments = list(Path(text))
    except Exception as fault:  # a damaged path makes its reader raise anything
        raise ShapeFault(f"a path that cannot be read ({type(fault).__name__})") from None
    allowance.take_points(len(segments))
    runs: list[Run] = []
    parts: list[Points] = []
    for segment in segments:
        if isinstance(segment, Move):
            _end(runs, parts, closed=False)
            parts = [_points(segment.end)]
        elif isinstance(segment, Close):
            _end(runs, parts, closed=True)
            parts = [_points(segment.end)]
        elif parts:
            parts.append(_segment_points(segment, chord_error, allowance)[1:])
    _end(runs, parts, closed=False)
    return runs


def _end(runs: list[Run], parts: list[Points], *, closed: bool) -> None:
    points = np.concatenate(parts) if parts else np.empty((0, 2))
    if not np.isfinite(points).all():
        raise ShapeFault("a path that runs far out of range")
    if len(points) > 1:
        runs.append(Run(points, closed))


def _segment_points(segment: Any, chord_error: float, allowance: Allowance) -> Points:
    if isinstance(segment, Line):
        return _points(segment.start, segment.end)
    if isinstance(segment, QuadraticBezier):
        handles = _points(segment.start, segment.control, segment.end)
    elif isinstance(segment, CubicBezier):
        handles = _points(segment.start, segment.control1, segment.control2, segment.end)
    elif isinstance(segment, Arc):
        if segment.rx == 0.0 or segment.ry == 0.0 or segment.start == segment.end:
            return _points(segment.start, segment.end)
        return flattened(lambda t: np.asarray(segment.npoint(t), dtype=float),
                         np.linspace(0.0, 1.0, 5), chord_error, allowance)
    else:
        raise ShapeFault(f"a path with a piece of kind {type(segment).__name__}")
    return flattened(lambda t: _bezier(handles, t), (0.0, 0.5, 1.0), chord_error, allowance)


def _bezier(handles: Points, t: Points) -> Points:
    """Points of a Bézier curve by its Bernstein sum (Source: geometry)."""
    degree = len(handles) - 1
    weights = np.stack([math.comb(degree, k) * t**k * (1 - t)**(degree - k)
                        for k in range(degree + 1)], axis=1)
    return np.asarray(weights @ handles)


def _points(*points: Any) -> Points:
    if any(p is None for p in points):
        raise ShapeFault("a path that does not begin with a move")
    return np.array([(p.x, p.y) for p in points], dtype=float)
