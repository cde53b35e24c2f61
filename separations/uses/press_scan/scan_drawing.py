"""What was found in a picture of the sheet, drawn on it."""

from __future__ import annotations

import io
from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from separations.uses.calibration.patches import Patch
from separations.uses.press_scan.patch_light import PatchLight
from separations.uses.press_scan.scan_picture import ScanPicture
from separations.uses.press_scan.seen_drawing import draw_seen
from separations.uses.press_scan.seen_in_picture import SeenInPicture
from separations.uses.press_scan.sheet_place import SheetPlace

#: Longer side of the drawn picture (pixels).
_SIDE_PX = 1800
_READ, _LEFT_OUT, _MARK = (20, 110, 60), (200, 30, 30), (30, 60, 200)


def drawn_scan(picture: ScanPicture, place: SheetPlace, patches: Sequence[Patch],
               lights: Sequence[PatchLight], seen: SeenInPicture,
               squares_px: Sequence[NDArray[np.float64]] = ()) -> bytes:
    """A JPEG: marks that were found in blue, patches read in green, left out in red, crossed.

    Squares that were read beside the sheet are green as well. Over them stands what else was seen,
    as `separations.uses.press_scan.seen_drawing` writes it.
    """
    rows, columns = picture.levels.shape[:2]
    scale = min(1.0, _SIDE_PX / max(rows, columns))
    planes = np.dstack([picture.eight_bits(channel) for channel in range(3)])
    shown = cv2.resize(planes, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    shown = np.ascontiguousarray(shown // 2 + 127, np.uint8)
    for mark, _, _ in place.marks:
        _outline(shown, mark.corners_px * scale, _MARK)
    for patch, light in zip(patches, lights, strict=True):
        if light.corners_px is None:
            continue
        corners = light.corners_px * scale
        read = not np.isnan(light.relative).all()
        _outline(shown, corners, _READ if read else _LEFT_OUT)
        if not read:
            for one, other in ((0, 2), (1, 3)):
                cv2.line(shown, np.rint(corners[one]).astype(int).tolist(),
                         np.rint(corners[other]).astype(int).tolist(), _LEFT_OUT, 2,
                         cv2.LINE_AA)
        at = corners.mean(axis=0)
        size = float(np.linalg.norm(corners[0] - corners[1])) / 75
        cv2.putText(shown, patch.name, (round(at[0] - 22 * size), round(at[1] + 8 * size)),
                    cv2.FONT_HERSHEY_SIMPLEX, size, _READ if read else _LEFT_OUT, 2, cv2.LINE_AA)
    for square in squares_px:
        _outline(shown, square * scale, _READ)
    draw_seen(shown, scale, seen)
    written = io.BytesIO()
    Image.fromarray(shown).save(written, "JPEG", quality=85)
    return written.getvalue()


def _outline(shown: NDArray[np.uint8], corners: NDArray[np.float64],
             colour: tuple[int, int, int]) -> None:
    cv2.polylines(shown, [np.rint(corners).astype(np.int32)], True, colour, 2, cv2.LINE_AA)
