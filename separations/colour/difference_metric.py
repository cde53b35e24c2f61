"""CIEDE2000 as a quadratic form about a colour, for searches that need slopes."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from separations.runtime.compiled_code import compiled_on_borrowed_arrays

FloatArray = NDArray[np.float64]

_CHROMA_TURN = 25.0**7


@compiled_on_borrowed_arrays
def colour_metric(lab_a: FloatArray, lab_b: FloatArray, weights: tuple[float, float, float],
                  metric: FloatArray) -> None:
    """The quadratic form of CIEDE2000 about the mean of two colours.

    Parameters
    ----------
    lab_a, lab_b : ndarray, shape (3,), float64
        The two colours.
    weights : tuple of three float
        How much dearer than in CIEDE2000 lightness, chroma with hue, and hue alone are.
    metric : ndarray, shape (3, 3), float64
        Receives M: for small differences d in Lab, d M d is the square of dE00.

    Notes
    -----
    Source: Sharma, Wu and Dalal 2005, the formula's own weighting functions.
    """
    light_weight, colour_weight, hue_weight = weights
    plain_chroma = 0.5 * (math.hypot(lab_a[1], lab_a[2]) + math.hypot(lab_b[1], lab_b[2]))
    seventh = plain_chroma**7
    stretch = 1.0 + 0.5 * (1.0 - math.sqrt(seventh / (seventh + _CHROMA_TURN)))
    a_mean, b_mean = 0.5 * stretch * (lab_a[1] + lab_b[1]), 0.5 * (lab_a[2] + lab_b[2])
    chroma = 0.5 * (math.hypot(stretch * lab_a[1], lab_a[2])
                    + math.hypot(stretch * lab_b[1], lab_b[2]))
    # the hue of the mean, not the mean of the hues: it does not swing about when one is dull
    hue = math.atan2(b_mean, a_mean)
    hue_deg = math.degrees(hue) % 360.0
    light = 0.5 * (lab_a[0] + lab_b[0]) - 50.0
    turn = (1.0 - 0.17 * math.cos(hue - math.radians(30.0)) + 0.24 * math.cos(2.0 * hue)
            + 0.32 * math.cos(3.0 * hue + math.radians(6.0))
            - 0.20 * math.cos(4.0 * hue - math.radians(63.0)))
    light_scale = 1.0 + 0.015 * light * light / math.sqrt(20.0 + light * light)
    chroma_scale = 1.0 + 0.045 * chroma
    hue_scale = 1.0 + 0.015 * chroma * turn
    seventh = chroma**7
    bend = -2.0 * math.sqrt(seventh / (seventh + _CHROMA_TURN)) * math.sin(
        math.radians(60.0) * math.exp(-(((hue_deg - 275.0) / 25.0) ** 2)))
    cos, sin = math.cos(hue), math.sin(hue)
    chroma_part = colour_weight / chroma_scale**2
    cross = 0.5 * bend * colour_weight / (chroma_scale * hue_scale)
    hue_part = colour_weight * hue_weight / hue_scale**2
    aa = cos * cos * chroma_part - 2.0 * cos * sin * cross + sin * sin * hue_part
    bb = sin * sin * chroma_part + 2.0 * cos * sin * cross + cos * cos * hue_part
    ab = cos * sin * (chroma_part - hue_part) + (cos * cos - sin * sin) * cross
    for row in range(3):
        for column in range(3):
            metric[row, column] = 0.0
    metric[0, 0] = light_weight / light_scale**2
    metric[1, 1], metric[2, 2] = stretch * stretch * aa, bb
    metric[1, 2] = metric[2, 1] = stretch * ab
