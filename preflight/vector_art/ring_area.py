"""Closed lines turned into the area that they fill, by either fill rule."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from shapely import (
    MultiPolygon,
    Polygon,
    get_coordinates,
    get_exterior_ring,
    get_parts,
    is_ccw,
    is_empty,
    is_valid,
    linearrings,
    linestrings,
    point_on_surface,
    polygonize,
    polygons,
    union_all,
)

from preflight.board.area_mask import Area
from preflight.vector_art.point_budget import need_few_crossings

FillRule = Literal["nonzero", "evenodd"]
Ring = NDArray[np.float64]
#: Up to so many rings are taken apart as they are.
_MANY_RINGS = 100
#: Faces times edges compared at once; bounds the work space.
_MOST_COMPARED = 4_000_000


def ring_area(rings: Sequence[NDArray[np.float64]], rule: FillRule = "nonzero") -> Area:
    """The area that closed lines fill.

    Parameters
    ----------
    rings : sequence of NDArray of float64, shape (N, 2)
        Corners; the last is joined to the first. They may cross themselves and each other.
    rule : FillRule
        ``nonzero``: inside is what they go round, more often one way than the other;
        ``evenodd``: what an odd number of crossings leads to.

    Returns
    -------
    Polygon or MultiPolygon
        Valid; empty where nothing is filled.

    Raises
    ------
    SvgFault
        When the lines cross each other too often.

    Notes
    -----
    Source: SVG 2, "fill-rule".
    """
    closed = [np.vstack([ring, ring[:1]]) for ring in rings if len(ring) >= 3]
    if len(closed) == 1:
        alone = Polygon(closed[0])
        if alone.is_valid:
            return alone
    weights = np.ones(len(closed), np.int64)
    if len(closed) > _MANY_RINGS:
        closed, weights = _each_once(closed)
        if rule == "nonzero":
            stacked = _all_one_way(closed, weights)
            if stacked is not None:
                return stacked
    if not closed:
        return Polygon()
    need_few_crossings(closed)
    faces = get_parts(polygonize(get_parts(union_all([linestrings(ring) for ring in closed]))))
    if not len(faces):
        return Polygon()
    turns = _turns_round(get_coordinates(point_on_surface(faces)), closed, weights)
    inside = turns != 0 if rule == "nonzero" else turns % 2 != 0
    return as_area(union_all(faces[inside]))


def _each_once(rings: Sequence[Ring]) -> tuple[list[Ring], NDArray[np.int64]]:
    """Rings that are told apart, and how often each goes round one way more than the other."""
    told: dict[bytes, tuple[Ring, int]] = {}
    for ring in rings:
        corners = ring[:-1]
        first = np.lexsort(corners.T[::-1])[0]
        onwards = np.roll(corners, -first, axis=0)
        back = np.roll(onwards[::-1], 1, axis=0)
        way = 1 if onwards[1:2].tolist() <= back[1:2].tolist() else -1
        kept = onwards if way > 0 else back
        former = told.get(kept.tobytes())
        told[kept.tobytes()] = (np.vstack([kept, kept[:1]]) if former is None else former[0],
                                way + (former[1] if former else 0))
    left = [(ring, weight) for ring, weight in told.values() if weight]
    return [ring for ring, _ in left], np.array([weight for _, weight in left], np.int64)


def _all_one_way(rings: Sequence[Ring], weights: NDArray[np.int64]) -> Area | None:
    """The area of rings that cross none of themselves and all go round one way; else None."""
    indices = np.repeat(np.arange(len(rings)), [len(ring) for ring in rings])
    made = polygons(linearrings(np.concatenate(rings), indices=indices)) if rings else []
    if not len(made) or not is_valid(made).all():
        return None
    ways = np.where(is_ccw(get_exterior_ring(made)), 1, -1) * np.sign(weights)
    return as_area(union_all(made)) if (ways == ways[0]).all() else None


def as_area(geometry: object) -> Area:
    """Only the areas of a geometry: lines and points that an operation left are dropped."""
    parts = [part for part in get_parts(get_parts(geometry))
             if part.geom_type == "Polygon" and not is_empty(part)]
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)


def _turns_round(
    points: NDArray[np.float64], rings: Sequence[Ring], weights: NDArray[np.int64]
) -> NDArray[np.int64]:
    """How often the rings go round each point, anticlockwise, shape (points,)."""
    start = np.concatenate([ring[:-1] for ring in rings])
    end = np.concatenate([ring[1:] for ring in rings])
    weight = np.repeat(weights, [len(ring) - 1 for ring in rings])
    turns = np.zeros(len(points), np.int64)
    step = max(1, _MOST_COMPARED // len(start))
    for first in range(0, len(points), step):
        x, y = points[first:first + step, None, 0], points[first:first + step, None, 1]
        rising = (start[:, 1] <= y) & (end[:, 1] > y)
        falling = (start[:, 1] > y) & (end[:, 1] <= y)
        left = ((end[:, 0] - start[:, 0]) * (y - start[:, 1])
                - (x - start[:, 0]) * (end[:, 1] - start[:, 1]))
        turns[first:first + step] = ((rising & (left > 0)) @ weight
                                     - (falling & (left < 0)) @ weight)
    return turns
