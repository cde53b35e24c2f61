"""Curves turned into points that lie within a tolerance of them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]

#: A single curve gets no more pieces than this, however large it is.
_MOST_PIECES = 20_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Subpath:
    """One line of a drawing, from where the pen is set down to where it is lifted.

    Attributes
    ----------
    points : NDArray of float64, shape (N, 2)
        Its corners in order; a closed one does not repeat the first at its end.
    closed : bool
        Whether its end is joined to its beginning.
    """

    points: Points
    closed: bool


def bezier(controls: Points, tolerance: float) -> Points:
    """Points of a quadratic or cubic Bézier curve, its start left out.

    Parameters
    ----------
    controls : NDArray of float64, shape (3, 2) or (4, 2)
        Start, control points, end.
    tolerance : float
        Greatest distance between the curve and its pieces, in the points' unit.

    Returns
    -------
    NDArray of float64, shape (pieces, 2)

    Notes
    -----
    Pieces: √(n (n − 1) / 8 · greatest second difference / tolerance). Source: Wang's bound on
    the flatness of Bézier curves (from the second derivative), from memory; a test measures it.
    """
    degree = len(controls) - 1
    bend = np.hypot(*np.diff(controls, n=2, axis=0).T).max()
    pieces = _pieces(math.sqrt(degree * (degree - 1) / 8 * bend / tolerance))
    t = np.arange(1, pieces + 1)[:, None] / pieces
    weights = np.hstack([math.comb(degree, k) * t**k * (1 - t) ** (degree - k)
                         for k in range(degree + 1)])
    points = weights @ controls
    points[-1] = controls[-1]
    return np.asarray(points)


def arc(centre: tuple[float, float], along: tuple[float, float], across: tuple[float, float],
        from_to: tuple[float, float], tolerance: float) -> Points:
    """Points of an elliptical arc, its start left out.

    Parameters
    ----------
    centre : tuple of float
        Middle of the ellipse.
    along, across : tuple of float
        Half axes as vectors: a point is centre + along·cos t + across·sin t.
    from_to : tuple of float
        t at start and end (radians).
    tolerance : float
        Greatest distance between the arc and its pieces, in the points' unit.

    Notes
    -----
    Source: a chord of angle a in a circle of radius r stands off it by r (1 − cos a/2).
    """
    radius = max(math.hypot(*along), math.hypot(*across))
    start, end = from_to
    step = math.sqrt(8 * tolerance / radius) if radius > tolerance else 1.0
    pieces = _pieces(abs(end - start) / min(step, 1.0))
    t = start + (end - start) * np.arange(1, pieces + 1) / pieces
    return np.asarray(np.array(centre) + np.cos(t)[:, None] * np.array(along)
                      + np.sin(t)[:, None] * np.array(across))


def without_repeats(points: Points, *, closed: bool) -> Points:
    """Corners without those that lie on their forerunner."""
    kept = np.ones(len(points), bool)
    kept[1:] = (points[1:] != points[:-1]).any(axis=1)
    points = points[kept]
    if closed and len(points) > 1 and (points[0] == points[-1]).all():
        points = points[:-1]
    return points


def _pieces(wanted: float) -> int:
    return int(min(max(1, math.ceil(wanted)), _MOST_PIECES)) if math.isfinite(wanted) else 1
