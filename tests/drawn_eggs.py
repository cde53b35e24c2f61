"""A board whose every measure is known: two circles and the tangents that join them."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]

#: Radii of nose and tail, and the distance of their centres (mm).
NOSE_R, TAIL_R, APART = 150.0, 130.0, 1300.0
LENGTH_MM = NOSE_R + TAIL_R + APART
_NX = (TAIL_R - NOSE_R) / APART
_NY = math.sqrt(1.0 - _NX**2)
#: Half of the nose arc's angle (radians).
THETA = math.atan2(_NY, _NX)
TANGENT = APART * _NY
AREA_MM2 = (NOSE_R + TAIL_R) * TANGENT + THETA * NOSE_R**2 + (math.pi - THETA) * TAIL_R**2
AROUND_MM = 2 * TANGENT + 2 * THETA * NOSE_R + 2 * (math.pi - THETA) * TAIL_R
#: x of the tail's and the nose's centre in the board frame.
TAIL_X = -LENGTH_MM / 2 + TAIL_R
NOSE_X = TAIL_X + APART


def egg_corners(unit_mm: float = 1.0) -> list[tuple[float, float, float]]:
    """x, y and the bulge that follows, anticlockwise from the nose's lower tangent point."""
    nose, tail = (NOSE_X, NOSE_R), (TAIL_X, TAIL_R)
    corners = [(nose[0] + nose[1] * _NX, -nose[1] * _NY, math.tan(THETA / 2)),
               (nose[0] + nose[1] * _NX, nose[1] * _NY, 0.0),
               (tail[0] + tail[1] * _NX, tail[1] * _NY, math.tan((math.pi - THETA) / 2)),
               (tail[0] + tail[1] * _NX, -tail[1] * _NY, 0.0)]
    return [(x / unit_mm, y / unit_mm, bulge) for x, y, bulge in corners]


def egg_path(unit_mm: float = 1.0) -> str:
    """The egg as SVG path data, y down."""
    (ax, ay, _), (bx, by, _), (cx, cy, _), (dx, dy, _) = egg_corners(unit_mm)
    nose, tail = NOSE_R / unit_mm, TAIL_R / unit_mm
    return (f"M{ax!r},{-ay!r} A{nose!r},{nose!r} 0 1 0 {bx!r},{-by!r} L{cx!r},{-cy!r} "
            f"A{tail!r},{tail!r} 0 0 0 {dx!r},{-dy!r} Z")


def strays_mm(points: Points) -> Points:
    """How far each point (N, 2) of the board frame lies from the egg, exactly (mm)."""
    x, y = points[:, 0] - TAIL_X, np.abs(points[:, 1])
    along = x * _NY - y * _NX
    line = x * _NX + y * _NY - TAIL_R
    tail = np.hypot(x, y) - TAIL_R
    nose = np.hypot(x - APART, y) - NOSE_R
    return np.abs(np.where(along < 0.0, tail, np.where(along > TANGENT, nose, line)))


def greatest_stray_mm(ring: Points) -> float:
    """Greatest distance from the egg of the ring's points and of four places on each chord."""
    chord = np.roll(ring, -1, axis=0) - ring
    places = np.concatenate([ring + chord * share for share in (0.0, 0.25, 0.5, 0.75)])
    return float(strays_mm(places).max())
