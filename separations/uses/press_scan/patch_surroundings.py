"""A patch with the bare wood to its left and right, where it lies in a picture."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from separations.uses.calibration.patches import Patch
from separations.uses.calibration.wedge_films import GAP_MM, WedgeSheet
from separations.uses.press_scan.sheet_place import SheetPlace

FloatArray = NDArray[np.float64]
Plane = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Surroundings:
    """Where they lie.

    Attributes
    ----------
    patch_px, whole_px : ndarray, shape (4, 2), float64
        Column and row of the corners of the patch, and of it with the wood.
    pixels_per_mm : float
        How many pixels are a millimetre there.
    size_mm : tuple of float
        How wide and how high they are with the wood.
    """

    patch_px: FloatArray
    whole_px: FloatArray
    pixels_per_mm: float
    size_mm: tuple[float, float]

    def is_within(self, rows: int, columns: int) -> bool:
        """Whether a picture of that size shows all of it."""
        return not bool((self.whole_px < 0).any()
                        or (self.whole_px > [columns - 1, rows - 1]).any())

    @property
    def part(self) -> tuple[slice, slice]:
        """Rows and columns of the picture that hold it."""
        first, end = self._first, np.ceil(self.whole_px.max(axis=0)).astype(int) + 1
        return slice(first[1], end[1]), slice(first[0], end[0])

    def flattened(self, part: Plane, per_mm: float) -> Plane:
        """That part of the picture as on the flat sheet, with so many pixels to a millimetre."""
        wide, high = (round(side * per_mm) for side in self.size_mm)
        to_flat = cv2.getPerspectiveTransform(
            (self.whole_px - self._first).astype(np.float32),
            np.array([[0, 0], [wide, 0], [wide, high], [0, high]], np.float32) - np.float32(0.5))
        return np.asarray(cv2.warpPerspective(part, to_flat, (wide, high), flags=cv2.INTER_LINEAR,
                                              borderMode=cv2.BORDER_REPLICATE), np.float32)

    @property
    def _first(self) -> NDArray[np.int64]:
        return np.asarray(np.floor(self.whole_px.min(axis=0)), np.int64)


def surroundings_of(patch: Patch, place: SheetPlace, laid: WedgeSheet) -> Surroundings:
    """Where a patch lies by the marks of its row."""
    left, top, right, bottom = laid.box_mm(patch.row, patch.column)

    def corners(beside_mm: float) -> FloatArray:
        low, high = left - beside_mm, right + beside_mm
        return place.pixels(np.array([[low, top], [high, top], [high, bottom], [low, bottom]]),
                            patch.row)

    return Surroundings(
        patch_px=corners(0.0), whole_px=corners(GAP_MM),
        pixels_per_mm=place.pixels_per_mm(np.array([(left + right) / 2, (top + bottom) / 2])),
        size_mm=(right - left + 2 * GAP_MM, bottom - top))
