"""Pictures of 16 bits a channel, read by OpenCV: PNG, and TIFF as most programs write it."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.art.artwork import Artwork
from preflight.art.embedded_colour import IMAGE_FAULTS
from preflight.art.opened_image import broken_picture, quiet_opencv


def sixteen_bits(artwork: Artwork) -> NDArray[np.uint16]:
    """A picture's pixels, shape (rows, columns, channels), as OpenCV orders them: BGR, alpha.

    Raises
    ------
    InputProblem
        When they cannot be decoded.
    """
    whole = (artwork.height_px, artwork.width_px)
    stored = whole if artwork.orientation < 5 else whole[::-1]
    channels = 3 + (artwork.has_alpha or artwork.mode == "LA")
    # Handed its array, OpenCV decodes into it; left to itself it would hold the picture twice.
    room = np.zeros((*stored, channels), dtype=np.uint16)
    try:
        with quiet_opencv():
            array: Any = cv2.imread(str(artwork.path), room, cv2.IMREAD_UNCHANGED)
    except (cv2.error, *IMAGE_FAULTS) as fault:
        raise broken_picture(artwork.path, fault) from None
    if array is None or array.dtype != np.uint16 or array.shape[:2] != stored:
        raise broken_picture(artwork.path, ValueError("its 16-bit pixels cannot be decoded"))
    pixels: NDArray[np.uint16] = array[:, :, None] if array.ndim == 2 else array
    return pixels


def right_way_round(bgr: NDArray[np.uint16]) -> NDArray[np.uint16]:
    """RGB(A) of OpenCV's BGR(A); grey as it is."""
    if bgr.shape[2] < 3:
        return bgr
    code = cv2.COLOR_BGR2RGB if bgr.shape[2] == 3 else cv2.COLOR_BGRA2RGBA
    turned: NDArray[np.uint16] = cv2.cvtColor(np.ascontiguousarray(bgr), code)
    return turned
