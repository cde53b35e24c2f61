"""The curves of DXF entities as points: lines, arcs, polylines with bulges, ellipses, splines."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from itertools import pairwise
from typing import Any

import numpy as np
from ezdxf.entities import (
    Arc,
    Circle,
    DXFGraphic,
    Ellipse,
    Line,
    LWPolyline,
    Polyline,
    Spline,
)
from ezdxf.math import OCS

from preflight.board.outline_pieces import Allowance, Points, arc_points, flattened

#: Vertices of a polyline that only shape it: they are no part of the line.
#: Source: DXF reference, VERTEX group code 70 (16 = spline frame control point).
_FRAME_VERTEX = 16
#: A bulge smaller than this is a straight line at any size of board.
_STRAIGHT = 1e-12

Curve = tuple[Points, bool]


def curve_of(entity: DXFGraphic, chord_error: float, allowance: Allowance) -> Curve | None:
    """The entity's points (N, 3) in the drawing's units and world axes, and whether it closes.

    Parameters
    ----------
    entity : DXFGraphic
        Of a kind in `CURVES`.
    chord_error : float
        How far chords may stray from curves, in the drawing's units.
    allowance : Allowance
        Pays for the points.

    Returns
    -------
    tuple or None
        None for what has no length or is a mesh.
    """
    points, closed = CURVES[entity.dxftype()](entity, chord_error, allowance)
    if len(points) < 2 or not np.isfinite(points).all():
        return None
    return points, closed


def _line(entity: Line, _: float, allowance: Allowance) -> Curve:
    allowance.take_points(2)
    return _array((entity.dxf.start, entity.dxf.end)), False


def _circle(entity: Circle, chord_error: float, allowance: Allowance) -> Curve:
    return _in_world(entity, _arc(entity, 0.0, math.tau, chord_error, allowance)), True


def _circle_arc(entity: Arc, chord_error: float, allowance: Allowance) -> Curve:
    start = math.radians(entity.dxf.start_angle)
    sweep = (math.radians(entity.dxf.end_angle) - start) % math.tau or math.tau
    return _in_world(entity, _arc(entity, start, sweep, chord_error, allowance)), False


def _arc(entity: Circle, start: float, sweep: float, chord_error: float, allowance: Allowance
         ) -> Points:
    centre = entity.dxf.center
    if entity.dxf.radius == 0:
        return np.empty((0, 3))
    flat = arc_points((centre.x, centre.y), abs(entity.dxf.radius), start, sweep, chord_error,
                      allowance)
    return np.column_stack([flat, np.full(len(flat), centre.z)])


def _ellipse(entity: Ellipse, chord_error: float, allowance: Allowance) -> Curve:
    ellipse = entity.construction_tool()
    centre, major, minor = (_array((v,))[0] for v in (ellipse.center, ellipse.major_axis,
                                                      ellipse.minor_axis))
    start = float(ellipse.start_param)
    sweep = (float(ellipse.end_param) - start) % math.tau
    whole = sweep < 1e-9 or sweep > math.tau - 1e-9
    sweep = math.tau if whole else sweep

    def at(parameter: Points) -> Points:
        return np.asarray(centre + np.cos(parameter)[:, None] * major
                          + np.sin(parameter)[:, None] * minor)

    breaks = np.linspace(start, start + sweep, 5)
    return flattened(at, breaks, chord_error, allowance), whole


def _spline(entity: Spline, chord_error: float, allowance: Allowance) -> Curve:
    allowance.take_points(len(entity.control_points) + len(entity.fit_points))
    curve = entity.construction_tool()
    knots = np.asarray(curve.knots(), dtype=float)
    degree = curve.degree
    least, most = knots[degree], knots[len(knots) - 1 - degree]
    breaks = np.unique(np.clip(knots, least, most))

    def at(parameter: Points) -> Points:
        return _array(curve.points(parameter.tolist()))

    return flattened(at, breaks, chord_error, allowance), bool(entity.closed)


def _lwpolyline(entity: LWPolyline, chord_error: float, allowance: Allowance) -> Curve:
    rows = [(x, y, bulge) for x, y, bulge in entity.get_points("xyb")]
    points = _bulged(rows, entity.closed, chord_error, allowance)
    height = np.full(len(points), float(entity.dxf.elevation))
    return _in_world(entity, np.column_stack([points, height])), bool(entity.closed)


def _polyline(entity: Polyline, chord_error: float, allowance: Allowance) -> Curve:
    if not (entity.is_2d_polyline or entity.is_3d_polyline):
        return np.empty((0, 3)), False
    kept = [v for v in entity.vertices if not v.dxf.get("flags", 0) & _FRAME_VERTEX]
    closed = bool(entity.is_closed)
    if entity.is_3d_polyline:
        allowance.take_points(len(kept))
        return _array(v.dxf.location for v in kept), closed
    rows = [(v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0.0)) for v in kept]
    points = _bulged(rows, closed, chord_error, allowance)
    elevation = entity.dxf.elevation.z if entity.dxf.hasattr("elevation") else 0.0
    height = np.full(len(points), float(elevation))
    return _in_world(entity, np.column_stack([points, height])), closed


def _bulged(rows: list[tuple[float, float, float]], closed: bool, chord_error: float,
            allowance: Allowance) -> Points:
    """Points (N, 2) of a polyline whose pieces are straight or arcs.

    Notes
    -----
    A bulge is the tangent of a quarter of its arc's angle, positive for anticlockwise.
    Source: DXF reference, LWPOLYLINE group code 42.
    """
    allowance.take_points(len(rows))
    if len(rows) < 2:
        return np.empty((0, 2))
    around = [*rows, rows[0]] if closed else rows
    parts = [np.array([around[0][:2]])]
    for (x0, y0, bulge), (x1, y1, _) in pairwise(around):
        chord = math.hypot(x1 - x0, y1 - y0)
        if abs(bulge) < _STRAIGHT or chord == 0.0:
            parts.append(np.array([[x1, y1]]))
            continue
        aside = (1.0 - bulge**2) / (4.0 * bulge)
        centre = ((x0 + x1) / 2 - aside * (y1 - y0), (y0 + y1) / 2 + aside * (x1 - x0))
        radius = chord * (1.0 + bulge**2) / (4.0 * abs(bulge))
        arc = arc_points(centre, radius, math.atan2(y0 - centre[1], x0 - centre[0]),
                         4.0 * math.atan(bulge), chord_error, allowance)
        arc[-1] = x1, y1
        parts.append(arc[1:])
    return np.concatenate(parts)


def _in_world(entity: DXFGraphic, points: Points) -> Points:
    """Points (N, 3) out of the entity's own axes; mirrored blocks have them turned over."""
    extrusion = entity.dxf.get("extrusion", (0.0, 0.0, 1.0))
    ocs = OCS(extrusion)
    if not ocs.transform:
        return points
    axes = _array((ocs.ux, ocs.uy, ocs.uz))
    return np.asarray(points @ axes)


def _array(vectors: Iterable[Any]) -> Points:
    return np.array([(v.x, v.y, v.z) for v in vectors], dtype=float).reshape(-1, 3)


#: How each kind of entity becomes points.
CURVES: dict[str, Callable[[Any, float, Allowance], Curve]] = {
    "LINE": _line, "CIRCLE": _circle, "ARC": _circle_arc, "ELLIPSE": _ellipse,
    "SPLINE": _spline, "LWPOLYLINE": _lwpolyline, "POLYLINE": _polyline}
