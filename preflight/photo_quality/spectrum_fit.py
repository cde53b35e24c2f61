"""How far a picture's line spectrum lies from those of untouched, blurred and enlarged pictures."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from preflight.photo_quality.enlargement_models import SpectrumModels

_ROUNDING = 1 / 12
#: Shares of the quietest bins taken for a noise floor in turn, and where they lie level.
_FLOORS, _LEVEL_FLOORS = (0.3, 0.6, 0.9, 1.05), (0.8, 0.9, 0.97, 1.03)
#: Bins are level noise where they hold this much (levels²) and fall by less than e^0.25.
_NOISE, _LEVEL_FALL = 0.7, 0.25
#: Weight that keeps the natural fall of power near the square of frequency.
_SLOPE_WEIGHT = 0.012


def misfits(power: NDArray[np.float64], models: SpectrumModels) -> NDArray[np.float64]:
    """How far each model lies from a spectrum: weighted mean square of the log power's error.

    Parameters
    ----------
    power : ndarray of float64, shape (m + 1,)
        A line spectrum in levels² of 255.
    models : SpectrumModels
        For m bins.
    """
    m = len(power) - 1
    seen = np.maximum(power[2:], 1e-4)
    fit = _fitting(models, m)
    log_seen = np.log(seen)
    least = np.full(len(fit.shape), np.inf)
    work = np.empty_like(fit.shape)
    for floor in _floors(seen, m):
        above = np.log(np.maximum(seen - floor, 0.05 * seen))
        np.subtract(above, models.log_power, out=work)
        work *= fit.low
        level = work.sum(axis=1)
        np.multiply(np.exp(level)[:, None], fit.shape, out=work)
        work += floor
        np.log(work, out=work)
        np.subtract(log_seen, work, out=work)
        np.abs(work, out=work)
        np.minimum(work, 3.0, out=work)
        np.square(work, out=work)
        np.minimum(least, work @ fit.weight, out=least)
    least = (least + _SLOPE_WEIGHT * (models.slope - 2.0)**2) * models.handicap
    return np.asarray(least + 0.003 * np.sign(np.round(models.handicap - 1.0, 3)))


class _Fitting(NamedTuple):
    """What every spectrum is held against the models with.

    ``weight`` (bins,) of each bin; ``low`` (models, bins) of those that tell a model's level;
    ``shape`` (models, bins) the models' power.
    """

    weight: NDArray[np.float64]
    low: NDArray[np.float64]
    shape: NDArray[np.float64]


@lru_cache(maxsize=4)
def _fitting(models: SpectrumModels, m: int) -> _Fitting:
    """Reckoned once for all spectra of ``m`` bins; models are told apart as objects."""
    k = np.arange(2, m + 1)
    weight = 1 / np.sqrt(k)
    weight = weight / weight.sum()
    low = (k[None] < np.maximum(models.edge[:, None] * 0.8 * m, 4.5)) * weight
    low = low / np.maximum(low.sum(axis=1, keepdims=True), 1e-12)
    return _Fitting(weight, low, np.exp(models.log_power))


def _floors(seen: NDArray[np.float64], m: int) -> list[float]:
    """Levels of noise that may lie under a spectrum; known well where its top is level."""
    quiet = float(np.sort(seen)[:max(2, m // 8)].mean())
    top = seen[-max(2, m // 5):]
    half = len(top) // 2
    is_level = quiet > _NOISE and top[:half].mean() < np.exp(_LEVEL_FALL) * top[half:].mean()
    if is_level:
        return [share * quiet for share in _LEVEL_FLOORS]
    floors = (_ROUNDING / 2, _ROUNDING, *(share * quiet for share in _FLOORS))
    return [floor for floor in floors if floor <= max(1.06 * quiet, _ROUNDING)]
