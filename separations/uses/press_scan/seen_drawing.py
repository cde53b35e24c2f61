"""What a picture shows beside its patches' light, written on it."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from separations.uses.press_scan.scan_dots import HELD_SHARE
from separations.uses.press_scan.scan_exposure import WASHED_OUT
from separations.uses.press_scan.seen_in_picture import SeenInPicture

Colour = tuple[int, int, int]

_GOOD, _BAD, _MARK = (20, 110, 60), (200, 30, 30), (30, 60, 200)


def draw_seen(shown: NDArray[np.uint8], scale: float, seen: SeenInPicture) -> None:
    """Write it on a picture that was made smaller by a scale.

    In register marks stands how far their ink lies from the first (mm), in patches which share of
    their dots or holes is printed, in red where too few are, in fields of the exposure scale
    whether the stencil held.
    """
    for mark in seen.register:
        corners = mark.corners_px * scale
        _outline(shown, corners, _MARK)
        _label(shown, f"{np.linalg.norm(mark.shift_mm):.2f}", corners.mean(axis=0),
               _side(corners) / 80, _MARK)
    for step in seen.dots:
        if step.count.can_be_counted:
            share = step.count.printed / step.count.looked_for
            corners = step.corners_px * scale
            _label(shown, f"{100 * share:.0f} % {'open' if step.spots.are_holes else 'dots'}",
                   0.85 * corners[2:].mean(axis=0) + 0.15 * corners[:2].mean(axis=0),
                   _side(corners) / 150, _GOOD if share >= HELD_SHARE else _BAD)
    for field in seen.exposure:
        corners = field.corners_px * scale
        held = field.printed < WASHED_OUT
        _outline(shown, corners, _GOOD if held else _BAD)
        _label(shown, "held" if held else "open", corners.mean(axis=0), _side(corners) / 80,
               _GOOD if held else _BAD)


def _side(corners: NDArray[np.float64]) -> float:
    return float(np.linalg.norm(corners[0] - corners[1]))


def _outline(shown: NDArray[np.uint8], corners: NDArray[np.float64], colour: Colour) -> None:
    cv2.polylines(shown, [np.rint(corners).astype(np.int32)], True, colour, 2, cv2.LINE_AA)


def _label(shown: NDArray[np.uint8], text: str, middle: NDArray[np.float64], size: float,
           colour: Colour) -> None:
    """A few words about a place, on white."""
    (wide, high), _ = cv2.getTextSize(text, cv2.FONT_HERSHEY_SIMPLEX, size, 1)
    left, low = round(middle[0] - wide / 2), round(middle[1] + high / 2)
    cv2.rectangle(shown, (left - 2, low - high - 3), (left + wide + 2, low + 3), (255, 255, 255),
                  cv2.FILLED)
    cv2.putText(shown, text, (left, low), cv2.FONT_HERSHEY_SIMPLEX, size, colour, 1, cv2.LINE_AA)
