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
from separations.uses.press_scan.register_reading import MarkShift
from separations.uses.press_scan.scan_dots import HELD_SHARE, StepCount
from separations.uses.press_scan.scan_picture import ScanPicture
from separations.uses.press_scan.sheet_place import SheetPlace

#: Longer side of the drawn picture (pixels).
_SIDE_PX = 1800
_READ, _LEFT_OUT, _MARK = (20, 110, 60), (200, 30, 30), (30, 60, 200)


def drawn_scan(picture: ScanPicture, place: SheetPlace, patches: Sequence[Patch],
               lights: Sequence[PatchLight], register: Sequence[MarkShift],
               dots: Sequence[StepCount]) -> bytes:
    """A JPEG: marks that were found in blue, patches read in green, left out in red, crossed.

    In each register mark stands how far its ink lies from the first (mm); in patches whose dots
    or holes were counted, how many of them are printed, in red where too few are.
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
    for shift in register:
        corners = shift.corners_px * scale
        _outline(shown, corners, _MARK)
        _label(shown, f"{np.linalg.norm(shift.shift_mm):.2f}", corners.mean(axis=0),
               float(np.linalg.norm(corners[0] - corners[1])) / 80, _MARK)
    for step in dots:
        if step.count.can_be_counted:
            share = step.count.printed / step.count.looked_for
            corners = step.corners_px * scale
            size = float(np.linalg.norm(corners[0] - corners[1])) / 150
            at = corners[2:].mean(axis=0) * 0.85 + corners[:2].mean(axis=0) * 0.15
            _label(shown, f"{100 * share:.0f} % {'open' if step.spots.are_holes else 'dots'}", at,
                   size, _READ if share >= HELD_SHARE else _LEFT_OUT)
    written = io.BytesIO()
    Image.fromarray(shown).save(written, "JPEG", quality=85)
    return written.getvalue()


def _label(shown: NDArray[np.uint8], text: str, middle: NDArray[np.float64], size: float,
           colour: tuple[int, int, int]) -> None:
    """A few words about a place, on white."""
    (wide, high), _ = cv2.getTextSize(text, cv2.FONT_HERSHEY_SIMPLEX, size, 1)
    left, low = round(middle[0] - wide / 2), round(middle[1] + high / 2)
    cv2.rectangle(shown, (left - 2, low - high - 3), (left + wide + 2, low + 3), (255, 255, 255),
                  cv2.FILLED)
    cv2.putText(shown, text, (left, low), cv2.FONT_HERSHEY_SIMPLEX, size, colour, 1, cv2.LINE_AA)


def _outline(shown: NDArray[np.uint8], corners: NDArray[np.float64],
             colour: tuple[int, int, int]) -> None:
    cv2.polylines(shown, [np.rint(corners).astype(np.int32)], True, colour, 2, cv2.LINE_AA)
