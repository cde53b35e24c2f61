"""How many pixels a picture's strongest straight edges take to rise."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

#: Smoothing across and along an edge (sigma, px): along it takes noise and leaves the rise.
_ACROSS_PX, _ALONG_PX = 0.5, 1.5
_REACH_PX = 14
_MOST_EDGES = 3000
_LEAST_EDGES = 20
_LEAST_SLOPE = 5.0
_LEAST_HEIGHT = 40.0
#: An edge counts where it is steeper across than along by this.
_STRAIGHT = 0.35
#: The sharpest fifth stands for the picture: others are soft in the scene.
_SHARPEST = 0.2


def edge_rise(part: NDArray[np.float32]) -> float | None:
    """Height over steepest slope of the sharpest strong edges, both directions together.

    Parameters
    ----------
    part : ndarray of float32, shape (rows, columns)
        A detailed part of the picture in levels of 255.

    Returns
    -------
    float or None
        Pixels, the geometric mean of both directions (or the one that has edges); None where there
        are too few strong edges.

    Notes
    -----
    Strong edges outlast noise and compression, which drown the finest frequencies. Own method.
    """
    rises = [found for found in map(_along_rows, (part, np.ascontiguousarray(part.T)))
             if found is not None]
    return float(np.exp(np.mean(np.log(rises)))) if rises else None


def _along_rows(part: NDArray[np.float32]) -> float | None:
    if min(part.shape) < 2 * _REACH_PX:
        return None
    smooth = cv2.GaussianBlur(part, (0, 0), sigmaX=_ACROSS_PX, sigmaY=_ALONG_PX)
    slope = np.abs(smooth[:, 1:] - smooth[:, :-1])
    peak = np.zeros(slope.shape, dtype=np.bool_)
    middle = slope[1:-1, 1:-1]
    peak[1:-1, 1:-1] = ((middle >= slope[1:-1, :-2]) & (middle > slope[1:-1, 2:])
                        & (middle > _LEAST_SLOPE))
    row, at = np.nonzero(peak)
    down = np.abs(smooth[row + 1, at] - smooth[row - 1, at]) / 2
    straight = down < _STRAIGHT * slope[row, at]
    row, at = row[straight], at[straight]
    if len(row) < _LEAST_EDGES:
        return None
    steepest = np.argsort(-slope[row, at], kind="stable")[:_MOST_EDGES]
    row, at = row[steepest], at[steepest]
    sign = np.sign(smooth[row, at + 1] - smooth[row, at])
    columns = np.clip(at[:, None] + np.arange(-_REACH_PX, _REACH_PX + 2), 0, smooth.shape[1] - 1)
    profile = smooth[row[:, None], columns] * sign[:, None]
    height = _run(profile[:, _REACH_PX + 1:]) + _run(-profile[:, _REACH_PX::-1]) + (
        profile[:, _REACH_PX + 1] - profile[:, _REACH_PX])
    # The slope between pixels at its true peak, by a parabola through three.
    top, left, right = (slope[row, at + by] for by in (0, -1, 1))
    slopes = np.minimum(top + (right - left)**2 / np.maximum(8 * (2 * top - left - right), 1e-3),
                        1.3 * top)
    strong = height > _LEAST_HEIGHT
    if strong.sum() < _LEAST_EDGES:
        return None
    return float(np.quantile(height[strong] / slopes[strong], _SHARPEST))


def _run(profile: NDArray[np.float32]) -> NDArray[np.float32]:
    """By how much each row of a profile rises from its first value without a pause."""
    rises = np.diff(profile, axis=1) > 0.5
    steps = np.where(rises.all(axis=1), rises.shape[1], np.argmin(rises, axis=1))
    return np.asarray(profile[np.arange(len(profile)), steps] - profile[:, 0])
