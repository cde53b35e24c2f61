"""The beat that enlarging leaves in a picture's second differences."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

_LEAST_PX = 96
#: Second differences (levels of 255) that are noise or rounding rather than detail.
_ROUNDING, _NOISE = 1.0, 5.0
#: Where second differences are nowhere larger there is but rounding, whose steps beat as well.
_LEAST_DETAIL = 1.5
_NEAR_PX = 33
#: The joint spectrum of both directions at steps of this many cycles per pixel.
_CYCLES = np.linspace(0.1, 0.5, 1601)
#: Slower beats are the skirts of what a picture shows. Own rule.
_SLOWEST = 0.132
_GRID_STRONG = 4.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Beat:
    """The strongest beat of both directions together.

    Attributes
    ----------
    strength : float
        Its height over the median of the spectrum; some 3 to 6 by chance.
    edges : tuple of float
        1 / enlargement (0.2 to 0.92), as it may be.
    """

    strength: float
    edges: tuple[float, ...]


def find_beat(part: NDArray[np.float32]) -> Beat:
    """Look for the beat along rows and columns.

    Parameters
    ----------
    part : ndarray of float32, shape (rows, columns)
        A detailed part of the picture in levels of 255.

    Notes
    -----
    An interpolated sample's second difference has a variance that repeats with the position
    between the small picture's pixels. Source: Gallagher 2005, "Detection of linear and cubic
    interpolation in JPEG compressed images" (from memory). Differences are weighed against those
    near by, so that few strong edges do not drown it, and little where they are no more than
    noise. A beat f stands for an enlargement of 1 / f or of 1 / (1 − f): spectrum and edges have
    to say which. Where JPEG's 8-pixel grid beats as well, its multiples are left out.
    """
    total = np.zeros_like(_CYCLES)
    count = 0
    for lines in (part, part.T):
        if lines.shape[1] - 2 < _LEAST_PX:
            return Beat(strength=0.0, edges=())
        total += _spectrum(np.ascontiguousarray(lines)) / 2
        count = lines.shape[1] - 2 if count == 0 else min(count, lines.shape[1] - 2)
    looked = _CYCLES > _SLOWEST
    if min(total[np.abs(_CYCLES - at) < 1.5 / count].max() for at in (1 / 8, 3 / 8)) > _GRID_STRONG:
        for k in (1, 2, 3, 4):
            looked &= np.abs(_CYCLES - k / 8) > 2.5 / count
    best = int(np.argmax(total * looked))
    beat = float(_CYCLES[best])
    return Beat(strength=float(total[best]),
                edges=tuple(e for e in (beat, 1.0 - beat) if 0.2 < e < 0.92))


def _spectrum(lines: NDArray[np.float32]) -> NDArray[np.float64]:
    """What beats along the rows, over its median, at `_CYCLES`."""
    lines = cv2.blur(lines, (1, 3))  # across the rows: noise goes, the beat stays
    second = np.abs(lines[:, 2:] - 2 * lines[:, 1:-1] + lines[:, :-2])
    near = cv2.blur(second, (_NEAR_PX, _NEAR_PX))
    if float(np.quantile(near[::8, ::8], 0.99)) < _LEAST_DETAIL:
        return np.zeros_like(_CYCLES)
    weight = near / (near + np.float32(_NOISE))
    second /= near + np.float32(_ROUNDING)
    second *= weight
    signal = second.sum(axis=0, dtype=np.float64) / (weight.sum(axis=0, dtype=np.float64) + 1e-3)
    count = len(signal)
    signal -= cv2.GaussianBlur(signal[None], (0, 0), 8)[0]
    spectrum = np.abs(np.fft.rfft(signal * np.hanning(count), n=4 * count))
    beats = np.arange(len(spectrum)) / (4 * count)
    usual = float(np.median(spectrum[beats > 0.08]))
    if usual <= 1e-9:
        return np.zeros_like(_CYCLES)
    # Directions of unlike length have bins apart: each peak is spread over its neighbours.
    spread = np.max([np.roll(spectrum, by) for by in (-2, -1, 0, 1, 2)], axis=0)
    return np.asarray(np.interp(_CYCLES, beats, spread / usual))
