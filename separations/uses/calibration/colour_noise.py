"""The noise of colour readings, from patches read twice or from what a fit leaves over."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from separations.uses.calibration.patches import Patch
from separations.uses.calibration.press_fit import PressFit
from separations.uses.calibration.readings import Readings

FloatArray = NDArray[np.float64]

#: Noise of a reading is at least this (CIELAB), however well a fit goes through.
_LEAST_NOISE = 0.05
#: Fewest repeats that tell the noise. Own rule: deviations from so many are sure to about a sixth.
_LEAST_REPEATS = 16


def colour_noise(fit: PressFit, patches: Sequence[Patch], readings: Readings) -> FloatArray:
    """Deviation of each coordinate (CIELAB, 3) of a single reading."""
    if readings.lab_noise is not None:
        return readings.lab_noise
    noise = _noise_of_repeats(fit, patches, readings)
    return _noise(fit, readings) if noise is None else noise


def _noise_of_repeats(fit: PressFit, patches: Sequence[Patch], readings: Readings
                      ) -> FloatArray | None:
    """Noise of each coordinate from patches that are there more than once; None of too few."""
    used = ~np.isnan(readings.lab[:, 0])
    for ink in fit.inks:
        used[ink.places[~ink.curve.used]] = False
    places: dict[tuple[float, ...], list[int]] = {}
    for place in np.flatnonzero(used).tolist():
        places.setdefault(patches[place].percent, []).append(place)
    # one reading told at several places is one reading
    groups = [np.unique(readings.lab[group], axis=0) for group in places.values()]
    groups = [group for group in groups if len(group) > 1]
    free = sum(len(group) - 1 for group in groups)
    if free < _LEAST_REPEATS:
        return None
    off = np.concatenate([(group - group.mean(axis=0)) * np.sqrt(len(group) / (len(group) - 1))
                          for group in groups])
    spread = 1.4826 * np.median(np.abs(off), axis=0)
    kept = np.where(np.abs(off) <= 3.5 * np.maximum(spread, _LEAST_NOISE), off, np.nan)
    return np.asarray(np.maximum(np.sqrt(np.nanmean(kept**2, axis=0)), _LEAST_NOISE))


def _noise(fit: PressFit, readings: Readings) -> FloatArray:
    """Noise of each coordinate of a colour reading, from what the fit left over."""
    left = (readings.lab - fit.predicted_lab)[~np.isnan(fit.de00)]
    if not len(left):
        return np.full(3, _LEAST_NOISE)
    spread = 1.4826 * np.median(np.abs(left), axis=0)
    kept = np.where(np.abs(left) <= 3.0 * np.maximum(spread, _LEAST_NOISE), left, np.nan)
    return np.asarray(np.maximum(np.sqrt(np.nanmean(kept**2, axis=0)), _LEAST_NOISE))
