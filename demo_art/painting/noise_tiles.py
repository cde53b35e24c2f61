"""Seamless noise: square tiles with a power-law spectrum, and how to look them up anywhere."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Plane = NDArray[np.float32]
Field = NDArray[np.floating[Any]]


def fractal_tile(side_px: int, slope: float, seed: int, longest: float = 0.5,
                 shortest_px: float = 2.0) -> Plane:
    """Paint a seamless tile of noise whose amplitude falls as frequency ** -slope.

    Parameters
    ----------
    side_px : int
        Side of the square tile.
    slope : float
        Fall of the amplitude spectrum: 1 is the 1/f of natural scenes, 2 is cloud-like.
    seed : int
        Same seed, same tile.
    longest : float
        Longest wave kept, as a share of the side.
    shortest_px : float
        Shortest wave kept, in pixels.

    Returns
    -------
    ndarray, shape (side_px + 1, side_px + 1), float32
        Mean 0, standard deviation 1; the last row and column repeat the first.
    """
    rng = np.random.default_rng(seed)
    white = rng.standard_normal((side_px, side_px), dtype=np.float32)
    rows = np.fft.fftfreq(side_px)[:, None]
    columns = np.fft.rfftfreq(side_px)[None, :]
    frequency = np.hypot(rows, columns)
    frequency[0, 0] = 1.0
    weight = frequency ** -slope
    weight[frequency < 1.0 / (longest * side_px)] = 0.0
    weight[frequency > 1.0 / shortest_px] = 0.0
    weight[0, 0] = 0.0
    tile = np.fft.irfft2(np.fft.rfft2(white) * weight, s=white.shape)
    tile /= tile.std()
    return np.pad(tile, ((0, 1), (0, 1)), mode="wrap").astype(np.float32)


def look_up(tile: Plane, x: Field, y: Field) -> Plane:
    """Sample a seamless tile at any coordinates (pixels of the tile), bilinear, repeating."""
    side = np.float32(tile.shape[0] - 1)
    x = x - side * np.floor(x / side)
    y = y - side * np.floor(y / side)
    sampled: Plane = cv2.remap(tile, x.astype(np.float32, copy=False),
                               y.astype(np.float32, copy=False), cv2.INTER_LINEAR,
                               borderMode=cv2.BORDER_REPLICATE)
    return sampled


def ease(low: float, high: float, value: Field) -> Plane:
    """Smooth step from 0 at `low` to 1 at `high` (which may be the smaller of the two)."""
    t = np.clip((value - np.float32(low)) / np.float32(high - low), 0.0, 1.0)
    eased: Plane = (t * t * (3.0 - 2.0 * t)).astype(np.float32)
    return eased


def blend(under: Plane, over: Plane | tuple[float, float, float], share: Field) -> Plane:
    """Lay a colour (or a picture) over another one; `share` (rows, cols) is how much of it."""
    mixed = under + (np.asarray(over, np.float32) - under) * share[..., None]
    return mixed.astype(np.float32, copy=False)
