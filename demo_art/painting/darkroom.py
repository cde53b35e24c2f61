"""What a camera and a darkroom add: glow round the sun, contrast, a soft lens and grain."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from demo_art.painting.growth import Picture

_ROWS_AT_ONCE = 200


def develop(picture: Picture, seed: int) -> Picture:
    """Finish the picture in bands of rows: glow, tone curve, fading corners and fine grain."""
    height, width = picture.shape[:2]
    glow = _glow(picture)
    soft: Picture = cv2.GaussianBlur(picture, (0, 0), 0.55)
    rng = np.random.default_rng(seed + 71)
    along = np.linspace(-1, 1, width, dtype=np.float32)[None, :, None]
    finished = np.empty_like(picture)
    for first in range(0, height, _ROWS_AT_ONCE):
        rows = np.arange(first, min(first + _ROWS_AT_ONCE, height))
        across = ((rows + 0.5) / height * 2 - 1).astype(np.float32)[:, None, None]
        band = soft[rows].astype(np.float32) / 255.0
        shine = _rows_of(glow, rows, (width, height))
        band = 1.0 - (1.0 - band) * (1.0 - 0.33 * shine)
        band *= 1.0 - 0.13 * np.abs(along) ** 4 - 0.09 * np.maximum(across, -0.6 * across) ** 4
        grain = rng.standard_normal((len(rows), width), dtype=np.float32)
        band = _tone_curve(band) + (grain * (1.3 / 255.0))[..., None]
        finished[rows] = np.clip(band * 255.0 + 0.5, 0, 255)
    return finished


def _tone_curve(band: NDArray[np.floating]) -> NDArray[np.float32]:
    """A gentle S with deeper blacks, and a little more colour."""
    band = np.clip(band, 0.0, 1.0).astype(np.float32, copy=False)
    curved = band + 0.34 * band * (1.0 - band) * (2.0 * band - 0.92)
    curved = (curved - 0.012) * 1.016
    grey = curved @ np.array((0.30, 0.59, 0.11), np.float32)
    rich: NDArray[np.float32] = grey[..., None] + (curved - grey[..., None]) * np.float32(1.10)
    return rich


def _glow(picture: Picture) -> NDArray[np.float32]:
    small = cv2.resize(picture, (1000, 200), interpolation=cv2.INTER_AREA)
    warm = np.array((3.0, 2.6, 1.9), np.float32)
    bright = np.clip(small.astype(np.float32) / 255.0 - 0.82, 0.0, 1.0) * warm
    spread: NDArray[np.float32] = (0.6 * cv2.GaussianBlur(bright, (0, 0), 8)
                                   + 0.4 * cv2.GaussianBlur(bright, (0, 0), 30))
    return spread


def _rows_of(plate: NDArray[np.float32], rows: NDArray[np.int64],
             frame_px: tuple[int, int]) -> NDArray[np.float32]:
    """The given rows of a small picture as if it were enlarged to the frame."""
    y = ((rows + 0.5) * plate.shape[0] / frame_px[1] - 0.5).astype(np.float32)
    x = ((np.arange(frame_px[0]) + 0.5) * plate.shape[1] / frame_px[0] - 0.5).astype(np.float32)
    grid_x, grid_y = np.meshgrid(x, y)
    drawn: NDArray[np.float32] = cv2.remap(plate, grid_x, grid_y, cv2.INTER_LINEAR,
                                           borderMode=cv2.BORDER_REPLICATE)
    return drawn
