"""A drawn outline turned into the board frame, nose towards +x, and how symmetrical it is."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
import shapely
from shapely.geometry import LinearRing, Polygon

from preflight.board.board_outline import anticlockwise
from preflight.board.outline_pieces import Points
from preflight.input_problem import InputProblem

NoseEnd = Literal["wider end", "right", "left", "top", "bottom"]
#: Ends whose widths differ by less than this (mm) are equally wide. Own rule.
SAME_WIDTH_MM = 0.2
#: A board that lies askew by less than this (degrees) lies straight: rounding of its drawing.
_STRAIGHT_DEG = 0.01
#: An asymmetrical board's axis of inertia may lie so far off the axis it was drawn on (degrees).
_ASYMMETRY_DEG = 5.0
#: Sides that mirror each other to this (mm) are told to be alike. Own rule.
ALIKE_MM = 0.05
_MOST_COMPARED = 4000


def in_board_frame(ring_mm: Points, nose: NoseEnd, where: str) -> tuple[Points, tuple[str, ...]]:
    """Lay the board along x, its nose towards +x and its middle at the origin.

    Parameters
    ----------
    ring_mm : NDArray of float64, shape (N, 2)
        As drawn, y up; simple.
    nose : NoseEnd
        Which end of the drawing is the nose.
    where : str
        The drawing, for faults.

    Returns
    -------
    ring_mm : NDArray of float64, shape (N, 2)
        Anticlockwise. The drawing is turned, never mirrored.
    remarks : tuple of str
        The turn, what was taken for the nose, and how far the sides are from mirroring.

    Raises
    ------
    InputProblem
        When the nose is declared at an end that the drawing does not have.
    """
    ring = anticlockwise(ring_mm)
    turn_deg = _turn_to_lie(ring)
    ring = _centred(_turned(ring, turn_deg))
    drawn_upright = abs(turn_deg + 90.0) < 45.0
    ends = ("top", "bottom") if drawn_upright else ("right", "left")
    if nose != "wider end" and nose not in ends:
        how = "upright" if drawn_upright else "lying"
        raise InputProblem(where=where, found=f"outline_nose = '{nose}' for a board drawn {how}",
                           would_do=f"'{ends[0]}', '{ends[1]}' or 'wider end'")
    remarks: list[str] = []
    ahead, behind = _end_widths(ring)
    at = ends[0]
    if nose != "wider end":
        at = nose
        wider = ends[0] if ahead >= behind else ends[1]
        if abs(ahead - behind) > SAME_WIDTH_MM and at != wider:
            remarks.append(f"The job declares the narrower end to be the nose "
                           f"({min(ahead, behind):.1f} mm, tail {max(ahead, behind):.1f} mm).")
    elif abs(ahead - behind) <= SAME_WIDTH_MM:
        remarks.append(f"Both ends of the board are equally wide; the end drawn at the {at} "
                       "was taken for the nose (set outline_nose if it is the other one).")
    else:
        at = ends[0] if ahead > behind else ends[1]
    if at == ends[1]:
        ring = -ring
        turn_deg += 180.0
    if turn_deg != 0.0:
        why = "its wider end" if nose == "wider end" and abs(ahead - behind) > SAME_WIDTH_MM \
            else "the nose"
        remarks.insert(0, f"The drawing was turned by {_told_turn(turn_deg):.4g}°: {why} was drawn "
                          f"at the {at}.")
    remarks.append(_symmetry_told(ring))
    return ring, tuple(remarks)


def asymmetry_mm(ring_mm: Points) -> float:
    """How far the outline strays from its mirror image across y = 0 (mm), at most."""
    line = LinearRing(ring_mm)
    step = max(1, len(ring_mm) // _MOST_COMPARED)
    points = shapely.points(ring_mm[::step] * [1.0, -1.0])
    shapely.prepare(line)
    return float(shapely.distance(points, line).max())


def _symmetry_told(ring: Points) -> str:
    strays = asymmetry_mm(ring)
    if strays <= ALIKE_MM:
        return f"The board's two sides mirror each other within {max(strays, 0.001):.1g} mm."
    return (f"The board's two sides differ: mirrored across its centre line the outline strays by "
            f"up to {strays:.2f} mm. The drawing was taken as seen from the printed side.")


def _turn_to_lie(ring: Points) -> float:
    """Degrees to turn the drawing so that the board lies along x, its right or top end ahead."""
    axis = _long_axis_deg(ring)  # within (-90, 90]
    quarter = 90.0 * round(axis / 90.0)
    askew = axis - quarter
    if abs(askew) > _STRAIGHT_DEG and (abs(askew) > _ASYMMETRY_DEG or _fits_better(ring, axis,
                                                                                   quarter)):
        # Drawn askew: what points more to the right, or else to the top, goes ahead.
        return -(axis if abs(axis) <= 45.0 else axis % 180.0)
    return 0.0 if quarter == 0.0 else -90.0


def _fits_better(ring: Points, axis: float, quarter: float) -> bool:
    askew, straight = (asymmetry_mm(_centred(_turned(ring, -deg))) for deg in (axis, quarter))
    return askew < straight / 4.0


def _long_axis_deg(ring: Points) -> float:
    """The principal axis of the area, in degrees from +x, above -90 to 90.

    Notes
    -----
    An axis of symmetry is a principal axis. Source: mechanics (moments of area of a polygon by
    Green's theorem).
    """
    x, y = (ring - ring.mean(axis=0)).T
    x1, y1 = np.roll(x, -1), np.roll(y, -1)
    cross = x * y1 - x1 * y
    area = cross.sum() / 2
    centre_x = ((x + x1) * cross).sum() / (6 * area)
    centre_y = ((y + y1) * cross).sum() / (6 * area)
    xx = ((x**2 + x * x1 + x1**2) * cross).sum() / 12 - area * centre_x**2
    yy = ((y**2 + y * y1 + y1**2) * cross).sum() / 12 - area * centre_y**2
    xy = ((x * y1 + 2 * x * y + 2 * x1 * y1 + x1 * y) * cross).sum() / 24 \
        - area * centre_x * centre_y
    return math.degrees(0.5 * math.atan2(2 * xy, xx - yy))


def _turned(ring: Points, deg: float) -> Points:
    """The ring turned anticlockwise; quarter turns are exact."""
    if deg % 90.0 == 0.0:
        quarters = round(deg / 90.0) % 4
        turn = np.array([[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]])
        along, across = turn[quarters], turn[(quarters + 1) % 4]
        return np.asarray(ring[:, :1] * along + ring[:, 1:] * across)
    c, s = math.cos(math.radians(deg)), math.sin(math.radians(deg))
    return np.asarray(ring @ np.array([[c, s], [-s, c]]))


def _centred(ring: Points) -> Points:
    return np.asarray(ring - (ring.min(axis=0) + ring.max(axis=0)) / 2)


def _end_widths(ring: Points) -> tuple[float, float]:
    """Greatest extent across (mm) of the quarter towards +x, and of the one towards -x."""
    half, wide = np.abs(ring).max(axis=0) + 1.0
    board = Polygon(ring)
    ends = (shapely.clip_by_rect(board, half / 2, -wide, half, wide),
            shapely.clip_by_rect(board, -half, -wide, -half / 2, wide))
    ahead, behind = (end.bounds[3] - end.bounds[1] for end in ends)
    return float(ahead), float(behind)


def _told_turn(deg: float) -> float:
    """The turn between -180 and 180 degrees, 180 told as 180."""
    turn = (deg + 180.0) % 360.0 - 180.0
    return 180.0 if turn == -180.0 else turn
