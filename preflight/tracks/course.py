"""A track's way over the board: even steps, smoothed within a tolerance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter1d
from shapely import LineString

from preflight.tracks.track_points import BoolArray, FloatArray

#: Steps along a course (mm), and the most of them.
STEP_MM = 0.15
_MOST_STEPS = 40_000
#: How far smoothing may reach, in tolerances, the farthest first. Own rule, no source.
_REACHES = (16.0, 11.0, 8.0, 5.6, 4.0, 2.8, 2.0, 1.4, 1.0, 0.7, 0.5)
#: What is left of the tolerance for taking out points that say nothing.
_THINNING = 0.2
#: Hidden and seen parts shorter than this (mm) go to what is round them. Own rule, no source.
SHORTEST_PART_MM = 1.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Course:
    """An unbroken line on the board.

    Attributes
    ----------
    points_mm : NDArray of float64, shape (N, 2)
        x and y, in even steps; at least two.
    hidden : NDArray of bool, shape (N,)
        Whether each lies in a part that the ground hides.
    """

    points_mm: FloatArray
    hidden: BoolArray


def along(points_mm: FloatArray) -> FloatArray:
    """Distances of points from the first, along their line."""
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points_mm, axis=0).T))])


def even_course(points_mm: FloatArray, hidden: BoolArray, tolerance_mm: float) -> Course | None:
    """A course in even steps, as smooth as the tolerance lets it be.

    Parameters
    ----------
    points_mm : NDArray of float64, shape (N, 2)
        The track on the board.
    hidden : NDArray of bool, shape (N,)
        Which of its points are hidden.
    tolerance_mm : float
        How far the course may lie from the track, either way.

    Returns
    -------
    Course or None
        None where the track does not move.

    Notes
    -----
    First points are taken out that lie within a fifth of the tolerance of the line through the
    others (Douglas and Peucker 1973); then the line is smoothed by a Gaussian along it, the widest
    that keeps the Hausdorff distance to the whole track within the tolerance.
    """
    lengths = along(points_mm)
    if lengths[-1] <= 0:
        return None
    thinned = np.array(LineString(points_mm).simplify(_THINNING * tolerance_mm).coords)
    thin_lengths = along(thinned)
    steps = int(np.clip(np.ceil(thin_lengths[-1] / STEP_MM), 2, _MOST_STEPS))
    at = np.linspace(0.0, thin_lengths[-1], steps + 1)
    even = np.column_stack([np.interp(at, thin_lengths, thinned[:, axis]) for axis in (0, 1)])
    whole, step = LineString(points_mm), at[1]
    smooth = even
    for reach in _REACHES if tolerance_mm > 0 else ():
        tried = _smoothed(even, reach * tolerance_mm / step)
        if whole.hausdorff_distance(LineString(tried)) <= tolerance_mm:
            smooth = tried
            break
    shares = np.searchsorted(lengths / lengths[-1], np.linspace(0.0, 1.0, steps + 1))
    flags = hidden[np.minimum(shares, len(hidden) - 1)]
    return Course(points_mm=smooth, hidden=without_short(flags, along(smooth)))


def without_short(flags: BoolArray, lengths: FloatArray) -> BoolArray:
    """Flags with parts shorter than `SHORTEST_PART_MM` taken over by what is round them."""
    out = flags.copy()
    for kind in (False, True):  # first seen specks among hidden parts, then hidden ones
        for first, end in runs(out == kind):
            inner = first > 0 and end < len(out)
            if inner and lengths[end] - lengths[first] < SHORTEST_PART_MM:
                out[first:end] = not kind
    return out


def runs(flags: BoolArray) -> list[tuple[int, int]]:
    """Where flags are set: first and end of each run."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(np.int8), [0]])))
    return [(int(a), int(b)) for a, b in edges.reshape(-1, 2)]


def _smoothed(points: FloatArray, sigma_steps: float) -> FloatArray:
    """Points filtered along their line; its ends stay where they are."""
    reach = min(len(points) - 1, int(4 * sigma_steps) + 1)
    before = 2 * points[0] - points[reach:0:-1]
    after = 2 * points[-1] - points[-2:-reach - 2:-1]
    long = np.concatenate([before, points, after])
    return np.asarray(gaussian_filter1d(long, sigma_steps, axis=0)[reach:reach + len(points)])
