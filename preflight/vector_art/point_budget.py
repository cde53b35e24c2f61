"""How much a drawing may hold, so that none takes too long to read."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely import (
    STRtree,
    get_coordinates,
    get_num_coordinates,
    get_parts,
    get_rings,
    linestrings,
)
from shapely.geometry.base import BaseGeometry

from preflight.vector_art.svg_lengths import SvgFault

#: Corners that a drawing may have in all: curves followed, dashes, joins and letters counted.
MOST_POINTS = 3_000_000
#: Times that the lines of one shape may cross each other.
MOST_CROSSINGS = 2_000_000
#: Below so many lines nothing can get out of hand.
_FEW_LINES = 1_000
_FIRST_LOOK = 20
_ANSWERS_AT_ONCE = 2_000_000


class PointBudget:
    """Counts the corners that a drawing is made of.

    Parameters
    ----------
    most : int
        How many there may be.
    """

    def __init__(self, most: int = MOST_POINTS) -> None:
        self._most = most
        self._left = most

    def take(self, points: int) -> None:
        """Count some corners; raises `SvgFault` when there are too many."""
        self._left -= points
        if self._left < 0:
            raise SvgFault(f"more than {self._most:,} corners, strokes, dashes and letters counted")


def need_few_crossings(rings: Sequence[NDArray[np.float64]],
                       most: int = MOST_CROSSINGS) -> None:
    """Refuse lines that cross each other too often to be taken apart.

    Parameters
    ----------
    rings : sequence of NDArray of float64, shape (N, 2)
        Lines from corner to corner.
    most : int
        How often they may cross, their own corners not counted.

    Raises
    ------
    SvgFault
        When they cross more often.
    """
    count = sum(len(ring) - 1 for ring in rings)
    if count < _FEW_LINES:
        return
    ends = np.concatenate([np.stack([ring[:-1], ring[1:]], axis=1) for ring in rings])
    lines = linestrings(ends)
    tree = STRtree(lines)
    allowed, met, at, step = most + 3 * count, 0, 0, _FIRST_LOOK
    order = np.random.default_rng(0).permutation(count)  # the first ones stand for all
    while at < count:
        answers = tree.query(lines[order[at:at + step]], predicate="intersects").shape[1]
        met += answers
        at += step
        # Each crossing is met from both sides.
        if met / 2 * max(1.0, count / at if met > 100 * _FIRST_LOOK else 1.0) > allowed:
            raise SvgFault(f"a shape whose lines cross each other more than {most:,} times")
        step = max(_FIRST_LOOK, min(4 * step, int(_ANSWERS_AT_ONCE * step / max(answers, 1))))


def need_few_meetings(one: BaseGeometry, other: BaseGeometry,
                      most: int = MOST_CROSSINGS) -> None:
    """Refuse two areas whose edges cross each other too often, with `SvgFault`."""
    edges = [_edges(one), _edges(other)]
    few, many = sorted(edges, key=len)
    if len(few) < _FEW_LINES:
        return
    tree, met, at, step = STRtree(many), 0, 0, _FIRST_LOOK
    while at < len(few):
        answers = tree.query(few[at:at + step], predicate="intersects").shape[1]
        met += answers
        at += step
        if met > most:
            raise SvgFault(f"two shapes whose edges cross each other more than {most:,} times")
        step = max(_FIRST_LOOK, min(4 * step, int(_ANSWERS_AT_ONCE * step / max(answers, 1))))


def _edges(area: BaseGeometry) -> Any:
    """The straight pieces of an area's edges."""
    rings = get_rings(get_parts(area))
    corners, ring = get_coordinates(rings, return_index=True)
    within = ring[1:] == ring[:-1]
    return linestrings(np.stack([corners[:-1][within], corners[1:][within]], axis=1))


def points_of(areas: Iterable[object]) -> int:
    """How many corners some geometries have in all."""
    return int(sum(get_num_coordinates(area) for area in areas))
