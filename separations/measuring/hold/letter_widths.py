"""How wide one letter's strokes, counters and gaps are on a bitmap."""

from __future__ import annotations

from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray
from skimage.morphology import skeletonize

from separations.measuring.hold.local_width import equal_diameter

#: A ridge pixel belongs to a stroke, and not to a corner or a pointed end, where nothing within
#: so many of its half widths is wider by more than so much. Own rules, no source: a wedge of
#: less than 14° still counts as a stroke.
_REACH, _AS_WIDE = 2.0, 0.8
#: An odd width of n pixels comes out as n + 1 and an even one as n: half of that.
_HALF_PIXEL = 0.5
#: Parts of a pixel to which a hole's widest disc is found.
_FINER = 4
#: The widest disc on a bitmap is short by 0.1 pixels in a slot and by 0.8 in a disc: between.
_DISC_SHORT = 0.4

Bits = NDArray[np.bool_]


class HoleWidth(NamedTuple):
    """One closed hole: its width (pixels; 0 where the film closes it) and its middle."""

    width_px: float
    row: float
    column: float


def stroke_width_px(stroke: Bits, near: Bits) -> tuple[float, float, float] | None:
    """The thinnest stroke: the least width that is kept over a length as great as itself.

    Parameters
    ----------
    stroke : NDArray of bool, shape (rows, columns)
        What the strokes are made of.
    near : NDArray of bool, same shape
        Where to look.

    Returns
    -------
    tuple of float or None
        Width (pixels, within one), row and column; a part without length, such as a full stop,
        counts with the widest disc in it. None where there is nothing.
    """
    from separations.measuring.hold.bitmap_kernels import on_strokes

    count, labels = cv2.connectedComponents((stroke & near).view(np.uint8), connectivity=8)
    if count == 1:
        return None
    away = cv2.distanceTransform(stroke.astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    away = cv2.dilate(away, np.ones((3, 3), np.uint8))  # a spine may run beside the ridge
    rows, columns = _spine(stroke, near)
    chosen = np.empty(len(rows), np.bool_)
    on_strokes(away, rows, columns, _REACH, _AS_WIDE, chosen)
    rows, columns = rows[chosen], columns[chosen]
    halves, numbers = away[rows, columns], labels[rows, columns]
    found = []
    for number in range(1, count):
        kept = np.flatnonzero(numbers == number)
        kept = kept[np.argsort(halves[kept], kind="stable")]
        long = np.flatnonzero(np.arange(1, len(kept) + 1)
                              >= 2 * halves[kept].astype(np.float64) - _HALF_PIXEL)
        if len(long):
            found.append((float(halves[kept[long[0]]]), int(rows[kept[0]]), int(columns[kept[0]])))
        else:
            top = int(np.argmax(np.where(labels == number, away, 0)))
            r, c = divmod(top, away.shape[1])
            found.append((float(away[r, c]), r, c))
    half, row, column = min(found)
    return 2 * half - _HALF_PIXEL, row, column


def _spine(stroke: Bits, near: Bits) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Rows and columns of the spine of what is near, in order; other parts do not bear on it."""
    _, labels, stats, _ = cv2.connectedComponentsWithStats(stroke.view(np.uint8), connectivity=8)
    shown = np.zeros(len(stats), np.bool_)
    shown[labels[stroke & near]] = True
    left, top, across, down, _ = stats[shown].T
    box = np.s_[top.min():(top + down).max(), left.min():(left + across).max()]
    rows, columns = np.nonzero(skeletonize(shown[labels[box]]) & near[box])
    return rows + int(top.min()), columns + int(left.min())


def hole_width(ink: Bits, hole: Bits) -> HoleWidth | None:
    """The width of a closed hole.

    Parameters
    ----------
    ink : NDArray of bool, shape (rows, columns)
        The letter and what is beside it.
    hole : NDArray of bool, same shape
        Where the drawing has the hole; what of it stays open on the bitmap is measured.

    Returns
    -------
    HoleWidth or None
        The diameter of the widest disc in it, or of the disc of its area if that is less.
        None where it is open to the rim, being no hole on this bitmap.
    """
    rows, columns = np.nonzero(hole)
    if not len(rows):
        return None
    _, labels = cv2.connectedComponents((~ink).astype(np.uint8), connectivity=4)
    numbers = np.bincount(labels[hole])
    numbers[0] = 0
    if not numbers.any():
        return HoleWidth(0.0, float(rows.mean()), float(columns.mean()))
    open_part = labels == int(np.argmax(numbers))
    rows, columns = np.nonzero(open_part)
    if min(rows.min(), columns.min()) == 0 or (
            rows.max() == ink.shape[0] - 1 or columns.max() == ink.shape[1] - 1):
        return None
    cut = open_part[rows.min() - 1:rows.max() + 2, columns.min() - 1:columns.max() + 2]
    smooth = cv2.resize(cut.astype(np.float32), None, fx=_FINER, fy=_FINER,
                        interpolation=cv2.INTER_LINEAR)
    fine = (smooth > _HALF_PIXEL).astype(np.uint8)  # without the pixels' stairs
    disc = 2 * float(cv2.distanceTransform(fine, cv2.DIST_L2, cv2.DIST_MASK_PRECISE).max())
    width = min(disc / _FINER + _DISC_SHORT,
                float(equal_diameter(np.array([float(len(rows))]))[0]))
    return HoleWidth(width, float(rows.mean()), float(columns.mean()))


def gap_px(one: Bits, other: Bits) -> tuple[float, float, float]:
    """The clear distance between two parts that do not touch: pixels, row and column."""
    away = cv2.distanceTransform((~one).astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    at = int(np.argmin(np.where(other, away, np.inf)))
    row, column = divmod(at, one.shape[1])
    return float(away[row, column]) - 1.0, float(row), float(column)


def parts_of(ink: Bits, letter: Bits) -> tuple[NDArray[np.int32], frozenset[int]]:
    """Labels of the bitmap's parts, and which of them a letter is made of.

    A part is a letter's when a fifth of the part, or of the letter, lies in common.
    """
    _, labels = cv2.connectedComponents(ink.astype(np.uint8), connectivity=8)
    labels = np.asarray(labels, np.int32)
    common, whole = np.bincount(labels[letter], minlength=labels.max() + 1), np.bincount(
        labels.ravel())
    size = int(np.count_nonzero(letter))
    return labels, frozenset(n for n in range(1, len(whole))
                             if common[n] >= 0.2 * min(int(whole[n]), size) and common[n])
