"""What a separation's tone planes hold, measured: ends, sums and where they lie."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.findings import Place
from preflight.frames.raster_grid import RasterGrid

FULL_TONE = 65_535


#: Rows summed at a time, so that their sums stay in the processor's caches.
_ROWS_AT_ONCE = 64
#: Side of the boxes in which places are told (mm).
BOX_MM = 40.0


@dataclass(frozen=True, slots=True, kw_only=True)
class InkFacts:
    """One ink of the separation.

    Attributes
    ----------
    name : str
        The ink.
    lightness : float
        CIELAB L* of its solid on this wood.
    mean_tone : float
        Mean tone value over the printed area (0 to 1).
    share_too_small, share_too_large : float
        Shares (0 to 1) of the printed area whose dots, or whose holes between dots, are smaller
        than the mesh holds, or were brought to those that it holds.
    place_too_small, place_too_large : Place or None
        Where they lie.
    """

    name: str
    lightness: float
    mean_tone: float
    share_too_small: float
    share_too_large: float
    place_too_small: Place | None
    place_too_large: Place | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ToneFacts:
    """All inks of a separation, and the greatest sum of their tone values.

    Attributes
    ----------
    inks : tuple of InkFacts
        In print order.
    greatest_sum : float
        Greatest sum of tone values at one place (1 is 100 %).
    place_of_sum : Place or None
        Where it stands.
    share_see_through : float
        Share (0 to 1) of the printed area, within the photographs' edges, where none is opaque.
    place_see_through : Place or None
        Where most of it lies.
    share_out_of_reach : float
        Share (0 to 1) of the printed area whose colour these inks miss visibly on this wood.
    mean_missed_de00 : float
        Mean CIEDE2000 between the colour aimed at and the one that prints.
    """

    inks: tuple[InkFacts, ...]
    greatest_sum: float
    place_of_sum: Place | None
    share_see_through: float = 0.0
    place_see_through: Place | None = None
    share_out_of_reach: float = 0.0
    mean_missed_de00: float = 0.0


def ink_facts(
    plane: NDArray[np.uint16], inside: NDArray[np.bool_], grid: RasterGrid, *,
    name: str, lightness: float, ends: tuple[float, float], are_kept: bool = False,
) -> InkFacts:
    """Measure one ink's plane.

    Parameters
    ----------
    plane : ndarray of uint16, shape (rows, columns)
        Tone values, 65535 for 100 %.
    inside : ndarray of bool, shape (rows, columns)
        The printed area.
    grid : RasterGrid
        Where the pixels lie.
    name, lightness
        As in `InkFacts`.
    ends : tuple of float
        Smallest and largest tone (0 to 1) that the mesh holds.
    are_kept : bool
        Whether tones beyond the ends were brought to them: what stands there then counts.
    """
    count, beyond = max(1, int(np.count_nonzero(inside))), int(not are_kept)
    small = _between(plane, inside, 1, math.ceil(ends[0] * FULL_TONE - 0.5) - beyond)
    large = _between(plane, inside, math.floor(ends[1] * FULL_TONE + 0.5) + beyond, FULL_TONE - 1)
    return InkFacts(
        name=name, lightness=lightness,
        mean_tone=cv2.mean(plane, inside.view(np.uint8))[0] / FULL_TONE,
        share_too_small=int(np.count_nonzero(small)) / count,
        share_too_large=int(np.count_nonzero(large)) / count,
        place_too_small=densest_place(small, grid), place_too_large=densest_place(large, grid))


def _between(plane: NDArray[np.uint16], inside: NDArray[np.bool_], least: int,
             most: int) -> NDArray[np.bool_]:
    """Pixels of an area whose tone is neither below the least nor above the most."""
    found = cv2.inRange(plane, np.float64(least), np.float64(most))
    cv2.bitwise_and(found, inside.view(np.uint8), dst=found)
    return np.asarray(found).view(np.bool_)


def tone_sum_facts(
    planes: NDArray[np.uint16], inside: NDArray[np.bool_], grid: RasterGrid
) -> tuple[float, Place | None]:
    """The greatest sum of tone values (1 is 100 %) over the area, and where it stands.

    Parameters
    ----------
    planes : ndarray of uint16, shape (inks, rows, columns)
        Tone values.
    inside : ndarray of bool, shape (rows, columns)
        The printed area.
    grid : RasterGrid
        Where the pixels lie.
    """
    if not inside.any():
        return 0.0, None
    greatest, row, column = -1, 0, 0
    for first in range(0, len(inside), _ROWS_AT_ONCE):
        rows = slice(first, first + _ROWS_AT_ONCE)
        total = np.add.reduce(planes[:, rows], axis=0, dtype=np.uint32)
        total *= inside[rows]
        if (most := int(total.max())) > greatest:
            greatest = most
            row, column = divmod(int(np.argmax(total)), total.shape[1])
            row += first
    return greatest / FULL_TONE, _box(grid, row, column, 1)


def densest_place(
    marked: NDArray[np.bool_], grid: RasterGrid, box_mm: float = BOX_MM
) -> Place | None:
    """The box of ``box_mm`` that holds most of the marked pixels; None when none is marked."""
    if not marked.any():
        return None
    step = box_pixels(grid, box_mm)
    rows, columns = marked.shape
    bands = [cv2.reduce(marked[row:row + step].view(np.uint8), 0, cv2.REDUCE_SUM,
                        dtype=cv2.CV_32S)[0] for row in range(0, rows, step)]
    boxes = np.add.reduceat(np.array(bands, np.int64), np.arange(0, columns, step), axis=1)
    return fullest_box(boxes, grid, step)


def box_pixels(grid: RasterGrid, box_mm: float = BOX_MM) -> int:
    """Side of a box of places in pixels of the grid."""
    return max(1, round(box_mm / grid.pixel_mm))


def fullest_box(boxes: NDArray[np.int64], grid: RasterGrid, step: int) -> Place | None:
    """The box with the greatest count, shape (box rows, box columns); None where all are nought.

    ``step`` is the boxes' side in pixels of the grid.
    """
    if not boxes.any():
        return None
    row, column = np.unravel_index(int(np.argmax(boxes)), boxes.shape)
    return _box(grid, int(row) * step, int(column) * step, step)


def _box(grid: RasterGrid, row: int, column: int, step: int) -> Place:
    x, y = grid.top_x_mm - row * grid.pixel_mm, grid.left_y_mm - column * grid.pixel_mm
    return Place(least_x_mm=x - step * grid.pixel_mm, greatest_x_mm=x,
                 least_y_mm=y - step * grid.pixel_mm, greatest_y_mm=y)
