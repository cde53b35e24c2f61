"""The beat that enlarging leaves in a picture's second differences."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

_MOST_PX = 1536
_LEAST_PX = 96
#: A beat this many times the median of its spectrum is one. Own rule, tuned on test pictures.
_STRONG = 9.0
_GRID_STRONG = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Beat:
    """What was found along one direction.

    Attributes
    ----------
    edges : tuple of float
        1 / enlargement (0.12 to 0.92), as it may be; empty when there is no beat.
    has_jpeg_grid : bool
        Whether the 8-pixel grid of JPEG beats as well.
    """

    edges: tuple[float, ...]
    has_jpeg_grid: bool


def find_beat(grey: NDArray[Any], axis: int, centre: tuple[int, int], unit: float = 1.0) -> Beat:
    """Look for the beat along rows (``axis`` 1) or columns (0).

    Parameters
    ----------
    grey : ndarray, shape (rows, columns)
        Any depth.
    axis : int
        The direction along which the period runs.
    centre : tuple of int
        (row, column) about which to look, up to 1536 pixels square.
    unit : float
        One level of 255 in the picture's own values.

    Notes
    -----
    An interpolated sample's second difference has a variance that repeats with the position
    between the small picture's pixels. Source: Gallagher 2005, "Detection of linear and cubic
    interpolation in JPEG compressed images" (from memory). A beat f stands for an enlargement of
    1 / f or of 1 / (1 − f): the spectrum has to say which.
    """
    first = [max(0, min(c - _MOST_PX // 2, n - _MOST_PX))
             for c, n in zip(centre, grey.shape, strict=True)]
    part = grey[first[0]:first[0] + _MOST_PX, first[1]:first[1] + _MOST_PX]
    part = part.astype(np.float32) if unit == 1.0 else part.astype(np.float32) / np.float32(unit)
    if axis == 0:
        part = np.ascontiguousarray(part.T)
    count = part.shape[1] - 2
    if count < _LEAST_PX:
        return Beat(edges=(), has_jpeg_grid=False)
    second = np.abs(part[:, 2:] - 2 * part[:, 1:-1] + part[:, :-2])
    signal = np.minimum(second, 12.0).mean(axis=0, dtype=np.float64)[None]
    signal = signal - cv2.GaussianBlur(signal, (0, 0), 8)
    spectrum = np.abs(np.fft.rfft(signal[0] * np.hanning(count), n=4 * count))
    beats = np.arange(len(spectrum)) / (4 * count)
    usual = float(np.median(spectrum[beats > 0.08]))
    if usual <= 0.0:
        return Beat(edges=(), has_jpeg_grid=False)
    looked = beats > 0.11
    grid = min(spectrum[np.abs(beats - at) < 1.5 / count].max() for at in (0.125, 0.375))
    has_grid = bool(grid > _GRID_STRONG * usual)
    if has_grid:
        for k in (1, 2, 3, 4):
            looked &= np.abs(beats - k / 8) > 2.5 / count
    best = int(np.argmax(spectrum * looked))
    if spectrum[best] < _STRONG * usual:
        return Beat(edges=(), has_jpeg_grid=has_grid)
    beat = float(beats[best])
    return Beat(edges=tuple(e for e in (beat, 1.0 - beat) if 0.12 < e < 0.92),
                has_jpeg_grid=has_grid)
