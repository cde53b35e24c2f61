"""The highest frequency at which a picture carries detail, as a share of what its pixels could."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preflight.photo_quality.detail_windows import (
    Tiling,
    detail_windows,
    line_spectra,
    picture_tiles,
    window_side,
)
from preflight.photo_quality.enlargement_models import SpectrumModels, spectrum_models
from preflight.photo_quality.resampling_period import Beat, find_beat

#: Windows of most detail whose spectra are averaged.
_WINDOWS = 60
#: Variance (levels² of 255) under which a window has nothing to tell.
_LEAST_VARIANCE = 9.0
_ROUNDING = 1 / 12
#: Shares of the quietest bins taken for a noise floor in turn.
_FLOORS = (0.3, 0.6, 0.9, 1.05)
#: Weight that keeps the natural fall of power near the square of frequency.
_SLOPE_WEIGHT = 0.012


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrueResolution:
    """What a picture's pixels are worth.

    Attributes
    ----------
    fraction : float or None
        True pixels to one pixel, along a line (0.12 to 1); None when the picture is too small or
        too flat to tell.
    along_rows, along_columns : float
        The same in each direction; 1 where not known.
    enlarged_by : float or None
        The enlargement that left its beat in both directions.
    tiles : Tiling
        Tiles over the picture.
    local : ndarray of float32, shape (tiles.rows, tiles.columns)
        `fraction` of each tile at its place of most detail; NaN where it has none.
    """

    fraction: float | None
    along_rows: float
    along_columns: float
    enlarged_by: float | None
    tiles: Tiling
    local: NDArray[np.float32]


def true_resolution(
    grey: NDArray[Any], *, top: int = 255, wanted: NDArray[np.bool_] | None = None,
    with_map: bool = True,
) -> TrueResolution:
    """Measure how fine a picture's detail really is.

    Parameters
    ----------
    grey : ndarray of uint8 or uint16, shape (rows, columns)
        Encoded lightness.
    top : int
        Its greatest value, 255 or 65535.
    wanted : ndarray of bool, shape of `picture_tiles`, optional
        Tiles that matter.
    with_map : bool
        Fill `TrueResolution.local` too.

    Notes
    -----
    The limit is where detail has half its contrast; for an enlarged picture this is the limit of
    the small one. The spectrum of the most detailed windows, along rows and along columns, is held
    against models of untouched, blurred and enlarged pictures over a noise floor; where a beat
    tells the enlargement exactly, it decides among them. Own method.
    """
    height, width = grey.shape
    side = window_side(height, width)
    tiles = picture_tiles(height, width)
    nothing = TrueResolution(
        fraction=None, along_rows=1.0, along_columns=1.0, enlarged_by=None, tiles=tiles,
        local=np.full((tiles.rows, tiles.columns), np.nan, np.float32))
    if side == 0:
        return nothing
    unit = top / 255
    windows, origins = detail_windows(grey, tiles, side)
    windows /= np.float32(unit)
    variance = windows.var(axis=(1, 2))
    told = variance >= _LEAST_VARIANCE
    if wanted is not None:
        told &= wanted.ravel()
    if not told.any():
        return nothing
    most = np.argsort(np.where(told, -variance, 0.0), kind="stable")[:min(_WINDOWS, told.sum())]
    centre = origins[most[0]] + side // 2
    limits, beats = [], []
    spectra = [line_spectra(windows, axis) for axis in (2, 1)]
    for axis, power in zip((1, 0), spectra, strict=True):
        beat = find_beat(grey, axis, (int(centre[0]), int(centre[1])), unit)
        limit, edge = _limit(power[most].mean(axis=0, dtype=np.float64), beat)
        limits.append(limit)
        beats.append(edge)
    local = np.full(len(windows), np.nan)
    few = spectrum_models(side // 2, few=True)
    for number in np.flatnonzero(told & with_map):
        found = [1.0 if _is_flat(power[number]) else
                 few.limit[int(np.argmin(misfits(power[number].astype(np.float64), few)))]
                 for power in spectra]
        local[number] = np.sqrt(found[0] * found[1])
    agree = beats[0] and beats[1] and abs(beats[0] / beats[1] - 1) < 0.05
    return TrueResolution(
        fraction=float(np.sqrt(limits[0] * limits[1])), along_rows=limits[0],
        along_columns=limits[1], tiles=tiles,
        enlarged_by=2 / (beats[0] + beats[1]) if agree else None,
        local=local.reshape(tiles.rows, tiles.columns).astype(np.float32))


def _limit(power: NDArray[np.float64], beat: Beat) -> tuple[float, float]:
    """The share of the Nyquist frequency that carries detail, and the beat's edge or 0."""
    if _is_flat(power):
        return 1.0, 0.0
    models = spectrum_models(len(power) - 1)
    misfit = misfits(power, models, skip_jpeg_grid=beat.has_jpeg_grid)
    best = int(np.argmin(misfit))
    enlarging = np.array([kernel not in ("", "blur") for kernel in models.kernel])
    nearest: list[tuple[float, float]] = []
    for edge in beat.edges:
        near = np.where(enlarging & (np.abs(models.edge / edge - 1) < 0.04), misfit, np.inf)
        if np.isfinite(near.min()):
            nearest.append((float(near.min()), edge))
    if nearest:
        least = min(nearest)
        finest = min(nearest, key=lambda found: found[1])
        # Beats of 1/3 and 2/3, or 1/4 and 3/4, are one: the larger enlargement unless it is absurd.
        if finest[1] < 0.7 * least[1] and finest[0] < 1.6 * least[0] + 0.015:
            least = finest
        worst = misfit[best] * (3.0 if models.kernel[best] else 1.0)
        if least[0] < worst + 0.02:
            return least[1], least[1]
    return float(models.limit[best]), 0.0


def _is_flat(power: NDArray[Any]) -> bool:
    """Whether noise covers all: then nothing says that detail ends before the pixels do."""
    return bool(power[2:6].mean() < 4 * np.median(power[len(power) // 2:]))


def misfits(
    power: NDArray[np.float64], models: SpectrumModels, *, skip_jpeg_grid: bool = False
) -> NDArray[np.float64]:
    """How far each model lies from a spectrum: weighted mean square of the log power's error.

    Parameters
    ----------
    power : ndarray of float64, shape (m + 1,)
        A line spectrum in levels² of 255.
    models : SpectrumModels
        For m bins.
    skip_jpeg_grid : bool
        Leave the harmonics of an 8-pixel grid out.
    """
    m = len(power) - 1
    k = np.arange(2, m + 1)
    seen = np.maximum(power[2:], 1e-4)
    weight = 1 / np.sqrt(k)
    if skip_jpeg_grid and m >= 32:
        harmonic = np.abs(k * 4 / m - np.round(k * 4 / m)) * m / 4 < 0.6
        weight = np.where(harmonic & (k > 0.2 * m), 0.0, weight)
    weight = weight / weight.sum()
    low = (k[None] < np.maximum(models.edge[:, None] * 0.8 * m, 4.5)) * weight
    low = low / np.maximum(low.sum(axis=1, keepdims=True), 1e-12)
    quiet = float(np.sort(seen)[:max(2, m // 8)].mean())
    log_seen = np.log(seen)
    shape = np.exp(models.log_power)
    least = np.full(len(shape), np.inf)
    for floor in (_ROUNDING / 2, _ROUNDING, *(share * quiet for share in _FLOORS)):
        if floor > max(1.06 * quiet, _ROUNDING):
            continue
        above = np.log(np.maximum(seen - floor, 0.05 * seen))
        level = (low * (above - models.log_power)).sum(axis=1)
        error = log_seen - np.log(np.exp(level)[:, None] * shape + floor)
        np.minimum(least, (np.minimum(np.abs(error), 3.0)**2) @ weight, out=least)
    least = (least + _SLOPE_WEIGHT * (models.slope - 2.0)**2) * models.handicap
    return np.asarray(least + 0.003 * np.sign(np.round(models.handicap - 1.0, 3)))
