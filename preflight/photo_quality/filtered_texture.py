"""Texture that a noise filter has flattened: what smoothing anew hardly changes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.photo_quality.detail_windows import (
    Tiling,
    cut_windows,
    detail_origins,
    window_side,
)

_WINDOWS = 40
_LEAST_VARIANCE = 9.0
#: Mean distance from the near mean (levels of 255) of weak and of strong texture.
_WEAK, _STRONG = (1.0, 4.0), (8.0, 40.0)
_NEAR_PX = 9
_LEAST_PX = 2000
#: Pixels at a window's border that its neighbour in the stack disturbs.
_SEAM_PX = 6
#: Weights of what a median and an edge-keeping filter spare of weak texture, and the latter of
#: strong one (natural log of shares, the last up to a bound), less what untouched pictures reach:
#: a logistic fit, see tests/published/test_filtered_texture_corpus.py.
_MEDIAN_WEAK, _KEEPING_WEAK, _KEEPING_STRONG, _USUAL = 2.6, 2.6, 6.9, 8.8
_STRONG_MOST = 1.2


@dataclass(frozen=True, slots=True, kw_only=True)
class FilteredTexture:
    """Marks of a noise filter.

    Attributes
    ----------
    marks : float
        Above 1 where weak texture bears the marks of a noise filter (own scale, 0 or more); 0 where
        there is none to tell by.
    worst_px : tuple of float or None
        (left, upper, right, lower) of the window that smoothing changes least.
    """

    marks: float
    worst_px: tuple[float, float, float, float] | None


def filtered_texture(
    grey: NDArray[Any], tiles: Tiling, *, top: int = 255, wanted: NDArray[np.bool_] | None = None
) -> FilteredTexture:
    """Look for the marks of a noise filter.

    Parameters
    ----------
    grey : ndarray of uint8 or uint16, shape (rows, columns)
        Encoded lightness.
    tiles : Tiling
        Tiles over it.
    top : int
        Greatest value.
    wanted : ndarray of bool, shape of the tiling, optional
        Tiles that matter.

    Notes
    -----
    Filters that keep edges leave a picture that they hardly change when they are applied again.
    A small median and a small edge-keeping filter are applied to windows of detail, and what they
    take is held against what a blur of like width takes, in weak texture (where noise should be)
    and in strong texture. Own method. Parts without texture, such as a clean sky, are not judged.
    """
    unknown = FilteredTexture(marks=0.0, worst_px=None)
    side = window_side(*grey.shape)
    if side < 4 * _SEAM_PX:
        return unknown
    origins = detail_origins(grey, tiles, side)
    if wanted is not None and wanted.any():
        origins = origins[wanted.ravel()]
    origins = origins[np.unique(np.linspace(0, len(origins) - 1, _WINDOWS).astype(np.intp))]
    windows = cut_windows(grey, origins, side) / np.float32(top / 255)
    told = windows.var(axis=(1, 2)) >= _LEAST_VARIANCE
    if not told.any():
        return unknown
    origins, windows = origins[told], windows[told]
    stack = windows.reshape(-1, side)
    near = cv2.blur(np.abs(stack - cv2.blur(stack, (_NEAR_PX, _NEAR_PX))), (_NEAR_PX, _NEAR_PX))
    inside = np.zeros((side, side), dtype=np.bool_)
    inside[_SEAM_PX:-_SEAM_PX, _SEAM_PX:-_SEAM_PX] = True
    weak, strong = (((near > low) & (near < high)).reshape(windows.shape) & inside
                    for low, high in (_WEAK, _STRONG))
    if min(weak.sum(), strong.sum()) < _LEAST_PX:
        return unknown
    smooth, median, keeping = (np.abs(stack - done).reshape(windows.shape) for done in (
        cv2.GaussianBlur(stack, (0, 0), 1.0), cv2.medianBlur(stack, 3),
        cv2.bilateralFilter(stack, 5, 15, 2)))

    def taken(by: NDArray[np.float32], where: NDArray[np.bool_]) -> float:
        return float(np.log((by[where].mean() + 0.02) / (smooth[where].mean() + 0.02)))

    marks = (_MEDIAN_WEAK * -taken(median, weak) + _KEEPING_WEAK * -taken(keeping, weak)
             + _KEEPING_STRONG * min(-taken(keeping, strong), _STRONG_MOST) - _USUAL)
    ratio = ((median * weak).sum(axis=(1, 2)) + 1) / ((smooth * weak).sum(axis=(1, 2)) + 1)
    enough = weak.sum(axis=(1, 2)) > side * side // 16
    row, column = origins[int(np.argmin(np.where(enough, ratio, np.inf)))]
    return FilteredTexture(marks=max(0.0, marks),
                           worst_px=(float(column), float(row), float(column + side),
                                     float(row + side)))
