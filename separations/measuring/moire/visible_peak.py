"""The ripple that the eye would pick out of a simulated print, and how far above its threshold."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.fft import rfft2

from preflight.press.contrast_sensitivity import sensitivity_to

#: The patch's side over the standard deviation of the Gaussian window: it ends at 0.2 %.
_WINDOW_SIDES = 7.0
#: Pixels left to a period of the finest ripple when the patch is averaged.
_PIXELS_PER_PERIOD = 16
#: Ripples of fewer periods than this across the patch cannot be told from its mean.
LEAST_PERIODS = 3.5


@dataclass(frozen=True, slots=True, kw_only=True)
class VisiblePeak:
    """One ripple.

    Attributes
    ----------
    x_per_mm, y_per_mm : float
        Its frequency vector in the board frame.
    modulation : float
        (Greatest − least) / (greatest + least) of the luminance.
    times_threshold : float
        That times the eye's sensitivity.
    """

    x_per_mm: float
    y_per_mm: float
    modulation: float
    times_threshold: float

    @property
    def period_mm(self) -> float:
        """Crest to crest."""
        return 1 / max(math.hypot(self.x_per_mm, self.y_per_mm), 1e-9)

    @property
    def direction_deg(self) -> float:
        """Direction across the crests, 0 to 180 degrees anticlockwise from +x."""
        return math.degrees(math.atan2(self.y_per_mm, self.x_per_mm)) % 180.0


def visible_peak(luminance: NDArray[np.float32], pixel_mm: float,
                 most_per_mm: float) -> VisiblePeak:
    """The ripple furthest above the eye's threshold among those coarser than ``most_per_mm``.

    Parameters
    ----------
    luminance : NDArray of float32, shape (n, n)
        A printed patch.
    pixel_mm : float
        Side of a pixel (mm).
    most_per_mm : float
        Finer ripples belong to the dots themselves (cycles per mm).

    Notes
    -----
    The patch is averaged to pixels so small that what folds into the wanted frequencies lies by
    the average's own zero, and windowed by a Gaussian, whose spectrum is a parabola in the
    logarithm, so the peak is read between the bins. Each amplitude is weighed with the contrast
    sensitivity.
    """
    factor = max(1, int(1 / (_PIXELS_PER_PERIOD * most_per_mm * pixel_mm)))
    side = luminance.shape[0] // factor
    luminance = np.asarray(cv2.resize(luminance[:side * factor, :side * factor], (side, side),
                                      interpolation=cv2.INTER_AREA), np.float32)
    pixel_mm *= factor
    side_mm = side * pixel_mm
    most = math.ceil(most_per_mm * side_mm) + 2
    window = _window(side)
    share = float(window.sum())
    mean = float((luminance * window).sum()) / share
    whole = np.abs(rfft2((luminance - np.float32(mean)) * window))
    # Rows −most to most, columns 0 to most.
    waves = np.concatenate([whole[-most:, :most + 1], whole[:most + 1, :most + 1]]) * (2 / share)
    bins = np.arange(-most, most + 1)
    averaged = np.sinc(bins / side)
    waves /= averaged[:, None] * averaged[None, most:]
    per_mm = np.hypot(bins[:, None], bins[None, most:]) / side_mm
    seen = waves * sensitivity_to(per_mm) / max(mean, 1e-6)
    # A summit, not the foot of the dots' own peak beyond the limit.
    low = waves.astype(np.float32) < cv2.dilate(waves.astype(np.float32), np.ones((3, 3)))
    # A ripple near the limit may stand in the bin beyond it, or one beyond it in the bin within.
    seen[low | (per_mm > most_per_mm + 1 / side_mm) | (per_mm < LEAST_PERIODS / side_mm)] = 0
    while True:
        row, column = (int(i) for i in np.unravel_index(int(np.argmax(seen)), seen.shape))
        if seen[row, column] == 0:
            return VisiblePeak(x_per_mm=0.0, y_per_mm=0.0, modulation=0.0, times_threshold=0.0)
        seen[row, column] = 0
        down, up = _summit(waves[row - 1:row + 2, column])
        # Across the first column lie the rows mirrored.
        before = waves[row, column - 1] if column else waves[2 * most - row, 1]
        along, up_along = _summit(np.array([before, *waves[row, column:column + 2]]))
        fx, fy = -(bins[row] + down) / side_mm, -(column + along) / side_mm
        if math.hypot(fx, fy) <= most_per_mm:
            break
    modulation = float(waves[row, column]) * up * up_along / max(mean, 1e-6)
    return VisiblePeak(x_per_mm=fx, y_per_mm=fy, modulation=modulation,
                       times_threshold=modulation * float(sensitivity_to(math.hypot(fx, fy))))


@lru_cache(maxsize=8)
def _window(side: int) -> NDArray[np.float32]:
    place = (np.arange(side) - (side - 1) / 2) / side
    one = np.exp(-(place * _WINDOW_SIDES) ** 2 / 2)
    return np.asarray(np.outer(one, one), np.float32)


def _summit(three: NDArray[np.float64]) -> tuple[float, float]:
    """Where the parabola through three values' logarithms ends, and its gain there."""
    low, middle, high = np.log(np.maximum(three, 1e-12))
    bend = low - 2 * middle + high
    if bend >= 0:
        return 0.0, 1.0
    aside = float(np.clip((low - high) / (2 * bend), -1, 1))
    return aside, float(np.exp(-(low - high) ** 2 / (8 * bend)))
