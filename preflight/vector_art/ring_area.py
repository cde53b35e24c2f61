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
    get_parts,
    is_empty,
    linestrings,
    point_on_surface,
    polygonize,
    union_all,
)

from preflight.board.area_mask import Area

FillRule = Literal["nonzero", "evenodd"]
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

    Notes
    -----
    Source: SVG 2, "fill-rule".
    """
    closed = [np.vstack([ring, ring[:1]]) for ring in rings if len(ring) >= 3]
    if len(closed) == 1:
        alone = Polygon(closed[0])
        if alone.is_valid:
            return alone
    if not closed:
        return Polygon()
    faces = get_parts(polygonize(get_parts(union_all([linestrings(ring) for ring in closed]))))
    if not len(faces):
        return Polygon()
    turns = _turns_round(get_coordinates(point_on_surface(faces)), closed)
    inside = turns != 0 if rule == "nonzero" else turns % 2 != 0
    return as_area(union_all(faces[inside]))


def as_area(geometry: object) -> Area:
    """Only the areas of a geometry: lines and points that an operation left are dropped."""
    parts = [part for part in get_parts(get_parts(geometry))
             if part.geom_type == "Polygon" and not is_empty(part)]
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)


def _turns_round(
    points: NDArray[np.float64], rings: Sequence[NDArray[np.float64]]
) -> NDArray[np.int64]:
    """How often the rings go round each point, anticlockwise, shape (points,)."""
    start = np.concatenate([ring[:-1] for ring in rings])
    end = np.concatenate([ring[1:] for ring in rings])
    turns = np.zeros(len(points), np.int64)
    step = max(1, _MOST_COMPARED // len(start))
    for first in range(0, len(points), step):
        x, y = points[first:first + step, None, 0], points[first:first + step, None, 1]
        rising = (start[:, 1] <= y) & (end[:, 1] > y)
        falling = (start[:, 1] > y) & (end[:, 1] <= y)
        left = ((end[:, 0] - start[:, 0]) * (y - start[:, 1])
                - (x - start[:, 0]) * (end[:, 1] - start[:, 1]))
        turns[first:first + step] = ((rising & (left > 0)).sum(axis=1)
                                     - (falling & (left < 0)).sum(axis=1))
    return turns
