"""Errors that all readings of an ink share, so that no repeat tells them, added to a fit's ±."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from separations.colour.tone_values import TOLD_TONES, area_of_tone_value, tone_value_of_area
from separations.uses.calibration.press_fit import InkFit, PressFit
from separations.uses.calibration.readings import Readings
from separations.uses.calibration.resampled_fits import STEP_TONES, FitSpread

FloatArray = NDArray[np.float64]

#: Step (tone value, 0 to 1) by which the slope of area over tone value is found.
_STEP = 0.01


def with_shared(spread: FitSpread, fit: PressFit, readings: Readings) -> FitSpread:
    """The same, its deviations of areas and tone values with what an ink's readings share."""
    if readings.shared_sd is None:
        return spread
    curve, told, steps = spread.curve_sd.copy(), spread.tone_value_sd.copy(), (
        spread.step_value_sd.copy())
    for place, ink in enumerate(fit.inks):
        if ink.read_as != "density" or ink.solid_density is None:
            continue
        shared = readings.shared_sd[ink.places]
        known = ~np.isnan(shared)
        tones = np.unique(ink.wedge.tones[known])
        means = np.array([shared[known & (ink.wedge.tones == tone)].mean() for tone in tones])
        told[place] = np.hypot(told[place], np.interp(TOLD_TONES, tones, means))
        steps[place] = np.hypot(steps[place], np.interp(STEP_TONES, tones, means))
        curve[place] = np.hypot(curve[place], np.interp(ink.curve.film, tones, means)
                                * _area_by_tone_value(ink, 10.0**-ink.solid_density, fit.n))
    return replace(spread, curve_sd=curve, tone_value_sd=told, step_value_sd=steps)


def _area_by_tone_value(ink: InkFit, solid: float, n: float) -> FloatArray:
    """How much an ink's area moves with its tone value, at the film tones of its curve."""
    value = tone_value_of_area(ink.curve.printed, solid, n)
    low, high = np.maximum(value - _STEP, 0.0), np.minimum(value + _STEP, 1.0)
    return np.asarray((area_of_tone_value(high, solid, n) - area_of_tone_value(low, solid, n))
                      / (high - low))
