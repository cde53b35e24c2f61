"""Readings of one ink's wedge as numbers that are straight in the area under ink."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from separations.colour.colorimetry import lab_to_xyz, xyz_to_wide_rgb

FloatArray = NDArray[np.float64]

_LAB_STEP = 0.05
_LEAST_LIGHT = 1e-5
#: Noise of a channel that a reading at the end of its range cannot show.
_LEAST_NOISE = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WedgeSignal:
    """One ink's readings as one number each, straight in area.

    Attributes
    ----------
    tones : ndarray, shape (N,), float64
        Film tones, 0 to 1.
    signal : ndarray, shape (N,), float64
        Reflectance to the power 1/n, or a weighted sum of three channels of it.
    sd : ndarray, shape (N,), float64
        Expected noise of each.
    """

    tones: FloatArray
    signal: FloatArray
    sd: FloatArray


def density_signal(tones: FloatArray, density: FloatArray, n: float,
                   noise_d: float | FloatArray = 0.01) -> WedgeSignal:
    """Readings of a densitometer, in the channel that the ink shows best in.

    Parameters
    ----------
    tones, density : ndarray, shape (N,), float64
        Film tones (0 to 1) and densities, above the wood or absolute.
    n : float
        Yule-Nielsen factor; 1 is Murray and Davies.
    noise_d : float or ndarray, shape (N,)
        Expected noise of each reading, in density.

    Notes
    -----
    Source: Murray 1936 and Yule and Nielsen 1951: 10^(-D/n) falls in a straight line with area.
    """
    signal = 10.0 ** (-density / n)
    return WedgeSignal(tones=tones, signal=signal, sd=signal * np.log(10.0) / n * noise_d)


def colour_signal(tones: FloatArray, lab: FloatArray, n: float,
                  noise_lab: float = 0.4) -> WedgeSignal:
    """Readings of a colorimeter.

    Parameters
    ----------
    tones : ndarray, shape (N,), float64
        Film tones, 0 to 1; bare wood and solid among them.
    lab : ndarray, shape (N, 3), float64
        CIELAB D50.
    n : float
        Yule-Nielsen factor.
    noise_lab : float
        Expected noise of each coordinate, wood figure included. Common practice, no source.

    Notes
    -----
    The three linear wide-gamut channels are summed, each by how much it changes over its noise.
    """
    steps = _LAB_STEP * np.concatenate([np.zeros((1, 3)), np.eye(3), -np.eye(3)])
    near = _bent(lab + steps[:, None], n)
    bent, moves = near[0], (near[1:4] - near[4:]) / (2.0 * _LAB_STEP)
    noise = noise_lab * np.sqrt(np.sum(moves**2, axis=0)) + _LEAST_NOISE
    fall = np.median(bent[tones <= 0.0], axis=0) - np.median(bent[tones >= 1.0], axis=0)
    weights = fall / np.mean(noise**2, axis=0)
    sd = noise_lab * np.sqrt(np.sum((moves @ weights) ** 2, axis=0))
    return WedgeSignal(tones=tones, signal=bent @ weights,
                       sd=sd + _LEAST_NOISE * np.abs(weights).sum())


def _bent(lab: FloatArray, n: float) -> FloatArray:
    light = np.maximum(xyz_to_wide_rgb(lab_to_xyz(lab)), _LEAST_LIGHT)
    return np.asarray(light ** (1.0 / n))
