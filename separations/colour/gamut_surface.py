"""The surface of all colours that inks can print, as triangles, and how far it reaches."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations, product

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

#: Points along each side of a face, by the number of inks: many inks have many faces.
_SIDE_POINTS = {1: 33, 2: 33, 3: 17, 4: 17, 5: 11, 6: 9, 7: 7, 8: 7}
_EDGES = ((0, 1), (1, 2), (2, 0))
#: How far beyond a segment's ends (in its length) a ray still meets it.
_SLACK = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TriangleSurface:
    """Triangles between points.

    Attributes
    ----------
    points : ndarray, shape (N, k or 3), float64
        Corners: film tones, or colours.
    triangles : ndarray, shape (M, 3), int64
        Which corners each has.
    """

    points: FloatArray
    triangles: NDArray[np.int64]

    def by_level(self) -> LevelledTriangles:
        """The triangles with the least and the greatest first coordinate of each."""
        corners = self.points[self.triangles]
        first = corners[:, :, 0]
        return LevelledTriangles(corners=corners, least=first.min(axis=1),
                                 most=first.max(axis=1))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LevelledTriangles:
    """Corners of triangles, shape (M, 3, 3), and the range of their first coordinate."""

    corners: FloatArray
    least: FloatArray
    most: FloatArray


def surface_tones(ink_count: int, tone_sum_limit: float) -> TriangleSurface:
    """Film tones over the surface of all legal ones: two inks vary, the others are bare or solid.

    Parameters
    ----------
    ink_count : int
        The k inks, 1 to 8.
    tone_sum_limit : float
        Most that the film tones of one place may add up to.

    Notes
    -----
    What surpasses the limit is led back to it in proportion, which covers the face that the
    limit cuts. Of more than three inks some faces lie within; they do no harm.
    """
    steps = np.linspace(0.0, 1.0, _SIDE_POINTS[ink_count])
    first, second = (part.ravel() for part in np.meshgrid(steps, steps, indexing="ij"))
    cells = _cells(len(steps))
    varied = list(combinations(range(ink_count), 2)) or [(0, 0)]
    points: list[FloatArray] = []
    triangles: list[NDArray[np.int64]] = []
    for one, other in varied:
        rest = [ink for ink in range(ink_count) if ink not in (one, other)]
        for solid in product((0.0, 1.0), repeat=len(rest)):
            tones = np.zeros((len(first), ink_count))
            tones[:, rest] = solid
            tones[:, other], tones[:, one] = second, first
            triangles.append(cells + len(points) * len(first))
            points.append(tones)
    tones = np.concatenate(points)
    total = tones.sum(axis=1, keepdims=True)
    return TriangleSurface(points=tones * np.minimum(1.0, tone_sum_limit / np.maximum(total, 1e-9)),
                           triangles=np.concatenate(triangles))


def _cells(count: int) -> NDArray[np.int64]:
    """Two triangles for each cell of a square of points."""
    place = np.arange(count * count).reshape(count, count)
    low, right, up, far = (part.ravel() for part in (
        place[:-1, :-1], place[1:, :-1], place[:-1, 1:], place[1:, 1:]))
    return np.concatenate([np.stack([low, right, far], 1), np.stack([low, far, up], 1)])


def reach_on_level(surface: LevelledTriangles, level: float, centre: FloatArray,
                   angles: FloatArray) -> FloatArray:
    """How far a surface reaches from a point, in the plane of one first coordinate.

    Parameters
    ----------
    surface : LevelledTriangles
        Colours (lightness and two further coordinates).
    level : float
        The lightness.
    centre : ndarray, shape (2,), float64
        Where rays begin.
    angles : ndarray, shape (H,), float64
        Their directions (radians).

    Returns
    -------
    ndarray, shape (H,), float64
        Distance to the outermost crossing; 0 where a ray meets nothing.
    """
    cut = (surface.least <= level) & (surface.most > level)
    start, end = _segments(surface.corners[cut], level)
    start, along = start - centre, end - start
    ray = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    # a ray r and a segment s + t d meet where r x d and r x s say
    across = ray[:, :1] * along[:, 1] - ray[:, 1:] * along[:, 0]
    safe = np.where(np.abs(across) < 1e-12, np.inf, across)
    distance = (start[:, 0] * along[:, 1] - start[:, 1] * along[:, 0]) / safe
    share = (start[:, 0] * ray[:, 1:] - start[:, 1] * ray[:, :1]) / safe
    met = (distance > 0.0) & (share >= -_SLACK) & (share <= 1.0 + _SLACK)
    return np.asarray(np.where(met, distance, 0.0).max(axis=1, initial=0.0))


def _segments(corners: FloatArray, level: float) -> tuple[FloatArray, FloatArray]:
    """Where triangles (M, 3, 3) that reach both sides of a level cross it: two points each."""
    above = corners[..., 0] > level
    crossing = np.stack([above[:, a] != above[:, b] for a, b in _EDGES], axis=1)
    points = np.empty((len(corners), 3, 2))
    for edge, (a, b) in enumerate(_EDGES):
        rise = corners[:, b, 0] - corners[:, a, 0]
        share = (level - corners[:, a, 0]) / np.where(rise == 0.0, 1.0, rise)
        points[:, edge] = corners[:, a, 1:] + share[:, None] * (
            corners[:, b, 1:] - corners[:, a, 1:])
    order = np.argsort(~crossing, axis=1, kind="stable")[:, :2]
    picked = np.take_along_axis(points, order[..., None], axis=1)
    return picked[:, 0], picked[:, 1]
