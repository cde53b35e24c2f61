"""The sheet's marks in a picture, found by OpenCV's detector of square marks."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from separations.uses.calibration.sheet_marks import FIELDS, mark_fields
from separations.uses.press_scan.scan_picture import ScanPicture

#: Pictures are looked at this large (pixels along the longer side) first, then whole.
_FIRST_SIDE_PX = 3400
#: Fewer marks than this in the smaller picture, and the whole one is searched. Own rule.
_ENOUGH = 12
#: Share of the fields that may be misread and are put right: two of 36, where marks differ in ten.
_FIELDS_RIGHTED = 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FoundMark:
    """A mark in a picture.

    Attributes
    ----------
    code : int
        Its row in `separations.uses.calibration.sheet_marks.mark_fields`.
    corners_px : ndarray, shape (4, 2), float64
        Column and row of its corners (pixel middles are whole numbers), clockwise from what is
        the upper left when the sheet stands upright.
    """

    code: int
    corners_px: NDArray[np.float64]


def find_marks(picture: ScanPicture, *, light_inks: bool) -> tuple[FoundMark, ...]:
    """All marks of any sheet of ours, in whichever of red, green and blue they show.

    Parameters
    ----------
    light_inks : bool
        Whether an ink is lighter than the wood, so that its marks are bright.
    """
    planes = [picture.eight_bits(channel) for channel in range(3)]
    found = _found_in(planes, _FIRST_SIDE_PX, light_inks)
    if len(found) < _ENOUGH and max(planes[0].shape) > _FIRST_SIDE_PX:
        found = _found_in(planes, max(planes[0].shape), light_inks)
    return found


def mirrored_marks(picture: ScanPicture) -> int:
    """How many marks there are once the picture is mirrored."""
    planes = [np.ascontiguousarray(picture.eight_bits(channel)[:, ::-1]) for channel in range(3)]
    return len(_found_in(planes, _FIRST_SIDE_PX, light_inks=False))


def _found_in(planes: list[NDArray[np.uint8]], side_px: int, light_inks: bool
              ) -> tuple[FoundMark, ...]:
    scale = min(1.0, side_px / max(planes[0].shape))
    found: list[FoundMark] = []
    for plane in planes:
        small = plane if scale == 1.0 else cv2.resize(plane, None, fx=scale, fy=scale,
                                                      interpolation=cv2.INTER_AREA)
        for look in (small, 255 - small) if light_inks else (small,):
            corners, codes, _ = _detector().detectMarkers(look)
            for code, four in zip([] if codes is None else codes.ravel(), corners, strict=True):
                at = (four.reshape(4, 2).astype(np.float64) + 0.5) / scale - 0.5
                if not any(_is_same(mark, int(code), at) for mark in found):
                    found.append(FoundMark(code=int(code), corners_px=at))
    return tuple(found)


def _is_same(mark: FoundMark, code: int, corners_px: NDArray[np.float64]) -> bool:
    """One mark seen in several colours of light."""
    side = np.linalg.norm(mark.corners_px[0] - mark.corners_px[2])
    return mark.code == code and bool(
        np.linalg.norm(mark.corners_px.mean(axis=0) - corners_px.mean(axis=0)) < side)


@lru_cache(maxsize=1)
def _detector() -> Any:
    aruco: Any = cv2.aruco
    rows = np.concatenate([aruco.Dictionary_getByteListFromBits(one) for one in mark_fields()])
    known = aruco.Dictionary(rows, FIELDS, 2 * _FIELDS_RIGHTED + 1)
    how = aruco.DetectorParameters()
    how.cornerRefinementMethod = aruco.CORNER_REFINE_SUBPIX
    how.errorCorrectionRate = 0.5
    how.adaptiveThreshWinSizeMin, how.adaptiveThreshWinSizeMax = 5, 45
    how.adaptiveThreshWinSizeStep = 20
    how.minMarkerPerimeterRate = 0.01
    how.perspectiveRemovePixelPerCell = 8
    return aruco.ArucoDetector(known, how)
