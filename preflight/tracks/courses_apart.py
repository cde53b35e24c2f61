"""Courses that run beside each other, moved so far apart that the mesh holds the gap."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d
from scipy.spatial import KDTree

from preflight.tracks.course import STEP_MM, Course, runs
from preflight.tracks.track_points import BoolArray, FloatArray

#: Two courses that are near each other for longer than this, in the distances that they are to
#: keep, run beside each other; for less they cross. Own rule, no source.
_CROSSING = 4.0
#: A course is beside itself where it comes back after so many distances.
_COMES_BACK = 5.0
#: Nobody sees a move of less (mm). Own rule, no source.
_NO_MOVE_MM = 0.02
#: Corners of moved parts are rounded over so many distances.
_ROUNDED = 0.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Apart:
    """A course moved away from others.

    Attributes
    ----------
    course : Course
        Where it lies now.
    moved_mm : float
        The greatest distance by which a point of it was moved.
    moved_over_mm : float
        Length of the parts that were moved.
    crossings : tuple of (int, int)
        First and end point of each part where it crosses its own earlier way.
    """

    course: Course
    moved_mm: float
    moved_over_mm: float
    crossings: tuple[tuple[int, int], ...]


def kept_apart(course: Course, others: list[tuple[FloatArray, float]], own_mm: float) -> Apart:
    """Move a course away from others, and from its own earlier way, where it runs beside them.

    Parameters
    ----------
    course : Course
        What is moved.
    others : list of (NDArray of float64, shape (N, 2); float)
        Courses that stay, and the distance (mm) of middles that is to be kept from each.
    own_mm : float
        The distance that it is to keep from its own earlier way.

    Notes
    -----
    Where it is nearer than asked for long, it is laid at that distance on the side where most of
    it lay. Where it only crosses it is left. Own rule, no source.
    """
    points = course.points_mm
    for other, need in others:
        near = _near_other(points, other, need)
        points, _ = _moved(points, other, near, need)
    lone = _near_itself(points, own_mm)
    points, crossings = _moved(points, points, lone, own_mm)
    gone = np.hypot(*(points - course.points_mm).T)
    gone[gone < _NO_MOVE_MM] = 0.0
    over = float(np.count_nonzero(gone)) * STEP_MM
    return Apart(course=Course(points_mm=points, hidden=course.hidden),
                 moved_mm=float(gone.max()), moved_over_mm=over, crossings=tuple(crossings))


def _near_other(points: FloatArray, other: FloatArray, need: float) -> NDArray[np.int64]:
    """For each point the nearest one of another course, -1 where none is near."""
    far, nearest = KDTree(other).query(points, distance_upper_bound=need)
    return np.where(np.isfinite(far), nearest, -1).astype(np.int64)


def _near_itself(points: FloatArray, need: float) -> NDArray[np.int64]:
    """For each point the nearest one of the course's own earlier way, -1 where none is near."""
    pairs = KDTree(points).query_pairs(need, output_type="ndarray")
    found = np.full(len(points), -1, np.int64)
    pairs = pairs[pairs[:, 1] - pairs[:, 0] > _COMES_BACK * need / STEP_MM]
    if not len(pairs):
        return found
    far = np.hypot(*(points[pairs[:, 0]] - points[pairs[:, 1]]).T)
    pairs = pairs[np.argsort(-far, kind="stable")]
    found[pairs[:, 1]] = pairs[:, 0]  # the nearest of each is written last
    return found


def _moved(points: FloatArray, base: FloatArray, near: NDArray[np.int64],
           need: float) -> tuple[FloatArray, list[tuple[int, int]]]:
    """Points moved off a base, and the parts where they only cross it."""
    out = points.copy()
    crossings: list[tuple[int, int]] = []
    if (near < 0).all():
        return out, crossings
    way = np.gradient(base, axis=0)
    way = gaussian_filter1d(way, max(1.0, need / STEP_MM / 2), axis=0, mode="nearest")
    way /= np.maximum(np.hypot(*way.T), 1e-12)[:, None]
    for first, end in _bridged(near >= 0, need):
        at = np.arange(first, end)
        known = near[at] >= 0
        foot_at = near[at[known]]
        away = points[at[known]] - base[foot_at]
        side = away[:, 1] * way[foot_at, 0] - away[:, 0] * way[foot_at, 1]
        if (end - first) * STEP_MM <= _CROSSING * need:
            if side[0] * side[-1] <= 0:
                crossings.append((first, end))
            continue
        foot = base[foot_at] + (away * way[foot_at]).sum(axis=1, keepdims=True) * way[foot_at]
        normal = np.column_stack([-way[foot_at, 1], way[foot_at, 0]])
        out[at[known]] = foot + (1.0 if np.sum(side) >= 0 else -1.0) * need * normal
        for axis in (0, 1):
            out[at[~known], axis] = np.interp(at[~known], at[known], out[at[known], axis])
        _round_ends(out, first, end, need)
    return out, crossings


def _bridged(near: BoolArray, need: float) -> list[tuple[int, int]]:
    """Runs of near points; gaps shorter than the distance to be kept are bridged."""
    found = runs(near)
    joined = found[:1]
    for (_, end), (first, last) in pairwise(found):
        if (first - end) * STEP_MM < need:
            joined[-1] = (joined[-1][0], last)
        else:
            joined.append((first, last))
    return joined


def _round_ends(points: FloatArray, first: int, end: int, need: float) -> None:
    """Smooth the course a little where a moved part begins and ends."""
    reach = max(2, int(2 * need / STEP_MM))
    for at in (first, end):
        part = slice(max(0, at - reach), min(len(points), at + reach))
        smooth = gaussian_filter1d(points[part], _ROUNDED * need / STEP_MM, axis=0, mode="nearest")
        length = len(smooth)
        weight = np.clip(1.5 - np.abs(np.linspace(-1.5, 1.5, length)), 0, 1)[:, None]
        points[part] = weight * smooth + (1 - weight) * points[part]
