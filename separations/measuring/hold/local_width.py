"""How wide the parts of a bitmap are: at every pixel, and part by part."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

#: A part's ridge lies this many pixel widths nearer to its edge than the distance to the next
#: pixel's centre says, on average over even and odd widths.
_HALF_PIXEL = 0.5
#: Reach of a width (in halves of the limit) along a part: a right-angled corner of a wide part is
#: then not told as thin. Geometry: √2 needed along the diagonal of a square reach's 1.25.
_REACH = 1.25


class WholeParts(NamedTuple):
    """Parts of a bitmap that do not touch its rim.

    Attributes
    ----------
    area_px : NDArray of float64, shape (N,)
        Pixels of each part.
    weight : NDArray of float64, shape (N,)
        How many parts of its size each stands for, since larger ones touch the rim more often;
        their sum is the number to be expected in the bitmap.
    """

    area_px: NDArray[np.float64]
    weight: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ThinPart:
    """One part of a bitmap that is thinner than a limit.

    Attributes
    ----------
    width_px : float
        How thin it is where it is thinnest, within one pixel (5th percentile along it).
    length_px : float
        How long it is: its area over its mean width.
    area_px : int
        Its pixels.
    alone : bool
        Whether it hangs on nothing wider: a whole line or dot of its own.
    row, column : float
        Its middle.
    """

    width_px: float
    length_px: float
    area_px: int
    alone: bool
    row: float
    column: float


def _near(part: NDArray[np.bool_],
          limit_px: float) -> tuple[NDArray[np.integer], NDArray[np.float32]]:
    """Greatest squared distance to the edge near each pixel, and the width that each stands for.

    Twice the distance is the width of a strip within one pixel. Discs of a few pixels come out up
    to two pixels small, since the pixel centre nearest their edge decides; `equal_diameter` is the
    better figure for them. Distances are kept up to a little more than half of the limit: wider
    parts are told as wider by two pixels or so.
    """
    most = int(np.ceil(limit_px / 2)) + 1
    reach = max(1, int(np.ceil(_REACH * limit_px / 2)))
    near = np.asarray(cv2.dilate(_squares_to_edge(part, most),
                                 np.ones((2 * reach + 1, 2 * reach + 1), np.uint8)))
    roots = np.sqrt(np.arange(most * most + 1, dtype=np.float32))
    return (near.astype(np.int32) if near.dtype == np.float32 else near,
            np.asarray(np.float32(2) * roots - np.float32(_HALF_PIXEL), np.float32))


def _squares_to_edge(part: NDArray[np.bool_],
                     most: int) -> NDArray[np.uint16] | NDArray[np.float32]:
    """Squared distances to the edge, whole numbers up to the square of the greatest."""
    from separations.measuring.hold.bitmap_kernels import MOST_DISTANCE, squares_to_edge

    if most > MOST_DISTANCE:
        distance = cv2.distanceTransform(part.view(np.uint8), cv2.DIST_L2,
                                         cv2.DIST_MASK_PRECISE)
        return np.asarray(np.minimum(np.rint(distance * distance), most * most), np.float32)
    squares = np.empty(part.shape, np.uint16)
    squares_to_edge(part, most, np.empty(part.shape[1] + 2 * most, np.uint16), squares)
    return squares


def thin_parts(
    part: NDArray[np.bool_], limit_px: float, margin_px: int = 0
) -> tuple[ThinPart, ...]:
    """The parts thinner than a limit by a pixel or more, top to bottom.

    Parameters
    ----------
    part : NDArray of bool, shape (rows, columns)
        The parts to look at: ink, or the ground between ink.
    limit_px : float
        The limit (pixels).
    margin_px : int
        Pixels at the rim that are seen but not told: those of the neighbouring windows.
    """
    core = np.s_[margin_px:part.shape[0] - margin_px, margin_px:part.shape[1] - margin_px]
    squares, widths = _near(part, limit_px)
    squares = squares[core]
    thin = part[core] & (squares < np.searchsorted(widths, np.float32(limit_px - 1), "right"))
    if not thin.any():
        return ()
    count, labels, stats, middles = cv2.connectedComponentsWithStats(
        thin.astype(np.uint8), connectivity=8)
    _, whole, whole_stats, _ = cv2.connectedComponentsWithStats(
        part.astype(np.uint8), connectivity=8)
    found = []
    for number in range(1, count):
        left, top, across, down, area = (int(v) for v in stats[number])
        box = np.s_[top:top + down, left:left + across]
        here = labels[box] == number
        own = widths[squares[box][here]]
        label = int(whole[core][box][here][0])
        found.append(ThinPart(
            width_px=float(np.percentile(own, 5)), length_px=area / max(1.0, float(own.mean())),
            area_px=area, alone=int(whole_stats[label, cv2.CC_STAT_AREA]) == area,
            row=float(middles[number, 1]) + margin_px,
            column=float(middles[number, 0]) + margin_px))
    return tuple(found)


def whole_parts(part: NDArray[np.bool_], connectivity: int = 8) -> WholeParts:
    """Sizes of the parts that do not touch the bitmap's rim.

    Parameters
    ----------
    part : NDArray of bool, shape (rows, columns)
        Ink, or the ground between ink.
    connectivity : int
        8 where corners join, else 4.
    """
    from separations.measuring.hold.bitmap_kernels import label_runs, part_boxes

    rows, columns = part.shape
    runs = np.empty((rows * (columns // 2 + 1), 3), np.int32)
    parents = np.empty(len(runs), np.int32)
    count = label_runs(part, int(connectivity == 8), runs, parents)
    boxes = np.empty((count, 5), np.int32)
    boxes = boxes[:part_boxes(runs, parents[:count], boxes)]
    top, bottom, left, right, area = boxes.T.astype(np.float64)
    inside = (left > 0) & (top > 0) & (right < columns) & (bottom < rows)
    places = (columns - 1 - right + left) * (rows - 1 - bottom + top)
    inside &= places > 0
    return WholeParts(area[inside], rows * columns / places[inside])


def equal_diameter(area: NDArray[np.float64]) -> NDArray[np.float64]:
    """Diameter of the disc of each area (in the length whose square the area is in)."""
    return np.sqrt(area * (4 / np.pi))


def strip_widths_px(part: NDArray[np.bool_]) -> NDArray[np.float64]:
    """Greatest width of each part, shape (N,), for strips that run through the bitmap (pixels)."""
    if part.all() or not part.any():
        return np.zeros(0)
    bits = part.astype(np.uint8)
    distance = cv2.distanceTransform(bits, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    count, labels = cv2.connectedComponents(bits, connectivity=8)
    greatest = np.zeros(count)
    np.maximum.at(greatest, labels.ravel(), distance.ravel())
    return 2 * greatest[1:] - _HALF_PIXEL
