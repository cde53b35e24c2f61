"""Drawn lines turned into the area that their pen covers: caps, joins and dashes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from shapely import Polygon, disjoint_subset_union_all, make_valid, polygons, union_all

from preflight.board.area_mask import Area
from preflight.vector_art.flattening import Points, Subpath, arc, without_repeats
from preflight.vector_art.point_budget import PointBudget, points_of
from preflight.vector_art.ring_area import as_area

Cap = Literal["butt", "round", "square"]
Join = Literal["miter", "round", "bevel"]
#: A line is broken into no more dashes than this.
_MOST_DASHES = 100_000
#: What a dash counts for, besides its corners.
_CORNERS_OF_A_DASH = 40
#: Corners that turn by less (radians) belong to a curve: their join is a plain wedge.
_CURVE_TURN = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class Pen:
    """How a line is drawn.

    Attributes
    ----------
    width : float
        Width of the line, in the unit of its points.
    cap : Cap
        Its ends.
    join : Join
        Its corners.
    miter_limit : float
        A mitred corner whose length is more than so many widths is bevelled.
    dashes : tuple of float
        Lengths of dashes and gaps by turns; empty for a whole line.
    dash_start : float
        How far into the dashes the line begins.
    """

    width: float
    cap: Cap = "butt"
    join: Join = "miter"
    miter_limit: float = 4.0
    dashes: tuple[float, ...] = ()
    dash_start: float = 0.0


def stroke_area(subpaths: Sequence[Subpath], pen: Pen, tolerance: float,
                budget: PointBudget | None = None) -> Area:
    """The area that a pen covers along its lines.

    Parameters
    ----------
    subpaths : sequence of Subpath
        The lines.
    pen : Pen
        How they are drawn.
    tolerance : float
        Greatest distance between a round end or corner and its pieces.
    budget : PointBudget, optional
        Counts the corners of all pieces.

    Raises
    ------
    SvgFault
        When there are more pieces than the budget has room for.

    Notes
    -----
    Source: SVG 2, "stroke shape" (clause 13.5).
    """
    if pen.width <= 0:
        return Polygon()
    pieces: list[Area] = []
    for subpath in subpaths:
        for line in dashed(subpath, pen) if pen.dashes else (subpath,):
            made = _pieces(line, pen, tolerance)
            if budget is not None:
                budget.take(points_of(made) + len(line.points)
                            + (_CORNERS_OF_A_DASH if pen.dashes else 0))
            pieces += made
    if not pieces:
        return Polygon()
    # Dashes mostly lie apart: parts that do not meet are never held against each other.
    return as_area(disjoint_subset_union_all(pieces) if pen.dashes else union_all(pieces))


def dashed(subpath: Subpath, pen: Pen) -> Iterator[Subpath]:
    """The dashes of a line, each a line of its own; dashes too fine to count leave it whole."""
    points = np.vstack([subpath.points, subpath.points[:1]]) if subpath.closed else subpath.points
    lengths = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(lengths)])
    pattern = np.array(pen.dashes * (2 if len(pen.dashes) % 2 else 1))
    period = float(pattern.sum())
    if period <= along[-1] / _MOST_DASHES:
        yield subpath
        return
    begins = np.concatenate([[0.0], np.cumsum(pattern)])[:-1]
    first = math.floor(pen.dash_start / period)
    for turn in range(first, first + math.ceil(along[-1] / period) + 2):
        for number in range(0, len(pattern), 2):
            start = turn * period + begins[number] - pen.dash_start
            low, high = max(start, 0.0), min(start + pattern[number], along[-1])
            if low < high:
                yield Subpath(points=between(points, along, low, high), closed=False)


def between(points: Points, along: Points, low: float, high: float) -> Points:
    """The part of a line between two distances along it; ``along`` tells those of its points."""
    within = points[(along > low) & (along < high)]
    ends = [[np.interp(at, along, points[:, axis]) for axis in (0, 1)] for at in (low, high)]
    return np.vstack([ends[:1], within, ends[1:]])


def _pieces(line: Subpath, pen: Pen, tolerance: float) -> list[Area]:
    """Areas that together cover one line: its straight pieces, joins and caps."""
    half = pen.width / 2
    points = without_repeats(line.points, closed=line.closed)
    if len(points) < 2:
        return _dot(points, pen, tolerance)
    ends = np.roll(points, -1, axis=0) if line.closed else points[1:]
    starts = points if line.closed else points[:-1]
    way = ends - starts
    way /= np.hypot(*way.T)[:, None]
    side = half * np.column_stack([-way[:, 1], way[:, 0]])
    made = list(polygons(np.stack(
        [starts + side, starts - side, ends - side, ends + side], axis=1)))
    corners = range(len(starts)) if line.closed else range(1, len(starts))
    for number in corners:
        made += _join(points[number], way[number - 1], way[number], pen, tolerance)
    if not line.closed:
        made += _cap(points[0], -way[0], pen, tolerance)
        made += _cap(points[-1], way[-1], pen, tolerance)
    return made


def _join(at: Points, before: Points, after: Points, pen: Pen, tolerance: float) -> list[Area]:
    half = pen.width / 2
    turn = math.atan2(before[0] * after[1] - before[1] * after[0], float(before @ after))
    if turn == 0.0:
        return []
    outer = -half if turn > 0 else half  # the outer side lies away from the turn
    from_ = at + outer * np.array([-before[1], before[0]])
    to = at + outer * np.array([-after[1], after[0]])
    corner = [at, from_, to]
    if abs(turn) >= _CURVE_TURN:
        if pen.join == "round":
            begin = math.atan2(*(from_ - at)[::-1])
            fan = arc((at[0], at[1]), (half, 0.0), (0.0, half), (begin, begin + turn), tolerance)
            corner = [at, from_, *fan]
        # Mitre length over width is 1 / sin of half the angle between the two pieces.
        elif pen.join == "miter" and pen.miter_limit * math.cos(turn / 2) >= 1:
            reach = half * math.tan(abs(turn) / 2)
            corner = [at, from_, from_ + reach * before, to]
    return _valid(corner)


def _cap(at: Points, outwards: Points, pen: Pen, tolerance: float) -> list[Area]:
    half = pen.width / 2
    side = half * np.array([-outwards[1], outwards[0]])
    if pen.cap == "square":
        return _valid([at + side, at - side, at - side + half * outwards,
                       at + side + half * outwards])
    if pen.cap == "round":
        begin = math.atan2(-side[1], -side[0])
        fan = arc((at[0], at[1]), (half, 0.0), (0.0, half), (begin, begin + math.pi), tolerance)
        return _valid([at, at - side, *fan])
    return []


def _dot(points: Points, pen: Pen, tolerance: float) -> list[Area]:
    """A line without length is a dot or a square by its caps, or nothing."""
    if pen.cap == "butt" or not len(points):
        return []
    half, (x, y) = pen.width / 2, points[0]
    if pen.cap == "square":
        return [Polygon([(x - half, y - half), (x + half, y - half), (x + half, y + half),
                         (x - half, y + half)])]
    return [Polygon(arc((x, y), (half, 0.0), (0.0, half), (0.0, 2 * math.pi), tolerance))]


def _valid(corners: Sequence[Points]) -> list[Area]:
    piece = Polygon(np.array(corners))
    if not piece.is_valid:
        piece = as_area(make_valid(piece))
    return [] if piece.is_empty or piece.area == 0.0 else [piece]
