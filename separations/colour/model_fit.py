"""A print model from measured patches: solids, overprints and ramps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from separations.colour.colorimetry import (
    colour_difference,
    wide_rgb_to_xyz,
    xyz_to_lab,
    xyz_to_wide_rgb,
)
from separations.colour.layering import InkFilm, layered_primaries
from separations.colour.print_model import CURVE_ENTRIES, PrintModel

FloatArray = NDArray[np.float64]

#: Yule-Nielsen factors tried.
N_TRIED = (1.0, 1.2, 1.4, 1.6, 1.8, 2.0, 2.3, 2.6, 3.0, 3.5)
#: Without tints of two inks or more nothing tells n; full scatter then. Source: Yule and
#: Nielsen 1951.
N_UNKNOWN = 2.0
#: Noise of a patch in reflectance to the power 1/n; damps coefficients of pale inks.
_NOISE = 0.02
_LEAST_CONTRAST = 0.01
_LEAST_LIGHT = 1e-5
_TONE_STEP = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Patches:
    """Measured patches, repeated ones averaged.

    Attributes
    ----------
    tones : ndarray, shape (N, k), float64
        Film tones, 0 to 1.
    rgb : ndarray, shape (N, 3), float64
        Linear wide-gamut RGB.
    """

    tones: FloatArray
    rgb: FloatArray

    @property
    def ink_count(self) -> int:
        """Number of inks k."""
        return int(self.tones.shape[1])

    def where(self, fixed: dict[int, float]) -> NDArray[np.bool_]:
        """Rows in which each ink named has the tone given."""
        rows = np.ones(len(self.tones), np.bool_)
        for ink, tone in fixed.items():
            rows &= np.abs(self.tones[:, ink] - tone) < _TONE_STEP
        return np.asarray(rows, np.bool_)


def training_rows(tones: FloatArray) -> NDArray[np.bool_]:
    """Patches that `fit_print_model` learns from: solids, overprints and ramps.

    Parameters
    ----------
    tones : ndarray, shape (N, k), float64
        Film tones, 0 to 1.

    Returns
    -------
    ndarray, shape (N,), bool
        True where at most one ink is a tint (all others bare or solid), and where two inks or
        more share one tint and all others are bare.
    """
    tint = (tones > _TONE_STEP) & (tones < 1.0 - _TONE_STEP)
    ramp = tint.sum(axis=1) <= 1
    inked = tones > _TONE_STEP
    level = tones.max(axis=1, keepdims=True)
    grey = (np.abs(tones - level) < _TONE_STEP) | ~inked
    return np.asarray(ramp | grey.all(axis=1), np.bool_)


def fit_print_model(tones: ArrayLike, xyz: ArrayLike, *, ink_names: tuple[str, ...],
                    n_tried: Sequence[float] = N_TRIED) -> PrintModel:
    """Fit a print model to the solids, overprints and ramps among measured patches.

    Parameters
    ----------
    tones : array_like, shape (N, k), float
        Film tones, 0 to 1. The bare substrate and every single solid must be among them;
        overprints that are missing are estimated by layering, ramps that are missing leave
        straight curves.
    xyz : array_like, shape (N, 3), float
        XYZ D50 of each, Y = 1 for the perfect diffuser.
    ink_names : tuple of str
        The k inks, in print order.
    n_tried : sequence of float
        Yule-Nielsen factors to try, rising.

    Returns
    -------
    PrintModel

    Raises
    ------
    ValueError
        When the substrate or a solid is missing.

    Notes
    -----
    Only the rows that `training_rows` names are used; all others may serve as a test. Each
    ramp of one ink gives its curves; the same ramp on top of other solids gives one spreading
    coefficient per channel; n is the one that fits those rows best: of those tried, then by a
    parabola through the best and its neighbours.
    Source: ink spreading by superposition condition, Hersch and Crete 2005.
    """
    patches = _averaged(np.asarray(tones, np.float64), np.asarray(xyz, np.float64))
    rows = training_rows(patches.tones)
    patches = Patches(tones=patches.tones[rows], rgb=patches.rgb[rows])
    primaries, measured = _primaries(patches)
    mixed = ((patches.tones > _TONE_STEP) & (patches.tones < 1.0 - _TONE_STEP)).sum(axis=1) > 1
    target = xyz_to_lab(wide_rgb_to_xyz(patches.rgb))
    models: dict[float, PrintModel] = {}

    def score(n: float) -> float:
        models[n] = _model_at(patches, primaries, measured, n, ink_names)
        return float(np.mean(colour_difference(models[n].predict_lab(patches.tones), target)**2))

    scores = {n: score(n) for n in (n_tried if mixed.any() else (N_UNKNOWN,))}
    best = min(scores, key=lambda n: scores[n])
    between = _between(scores, best)
    if between is not None and score(between) < scores[best]:
        best = between
    return models[best]


def _between(scores: dict[float, float], best: float) -> float | None:
    """Where a parabola through the best n and its neighbours is lowest; None at an end."""
    tried = list(scores)
    place = tried.index(best)
    if not 0 < place < len(tried) - 1:
        return None
    near = tried[place - 1:place + 2]
    bend, slope, _ = np.polyfit(near, [scores[n] for n in near], 2)
    return float(-0.5 * slope / bend) if bend > 0.0 else None


def _averaged(tones: FloatArray, xyz: FloatArray) -> Patches:
    kept, place = np.unique(tones, axis=0, return_inverse=True)
    place = place.ravel()
    count = np.bincount(place)
    mean = np.stack([np.bincount(place, xyz[:, axis]) / count for axis in range(3)], axis=1)
    return Patches(tones=kept, rgb=np.maximum(xyz_to_wide_rgb(mean), _LEAST_LIGHT))


def _primaries(patches: Patches) -> tuple[FloatArray, NDArray[np.bool_]]:
    inks = patches.ink_count
    found: dict[int, FloatArray] = {}
    for index in range(1 << inks):
        rows = patches.where({ink: float(index >> ink & 1) for ink in range(inks)})
        if rows.any():
            found[index] = wide_rgb_to_xyz(patches.rgb[rows][0])
    missing = [index for index in (0, *(1 << ink for ink in range(inks))) if index not in found]
    if missing:
        raise ValueError("the patches lack the bare substrate or a single ink's solid")
    films = [InkFilm(over_white_xyz=found[1 << ink], white_xyz=found[0],
                     over_black_xyz=np.zeros(3)) for ink in range(inks)]
    xyz = layered_primaries(found[0], films, measured_xyz=found)
    measured = np.array([index in found for index in range(1 << inks)])
    return np.maximum(xyz_to_wide_rgb(xyz), _LEAST_LIGHT), measured


def _model_at(patches: Patches, primaries: FloatArray, measured: NDArray[np.bool_], n: float,
              ink_names: tuple[str, ...]) -> PrintModel:
    inks = patches.ink_count
    bent, seen = primaries ** (1.0 / n), patches.rgb ** (1.0 / n)
    curves = np.empty((inks, 3, CURVE_ENTRIES))
    spread = np.zeros((inks << inks, 3))
    grid = np.linspace(0.0, 1.0, CURVE_ENTRIES)
    for ink in range(inks):
        curves[ink] = _curves(patches, seen, bent, ink, grid)
        for below in range(1 << inks):
            if below >> ink & 1:
                continue
            grow = np.zeros(3)
            if below and measured[below] and measured[below | 1 << ink]:
                grow = _spreading(patches, seen, bent, ink, below, curves[ink])
            spread[(ink << inks) + below] = grow
            spread[(ink << inks) + (below | 1 << ink)] = grow
    return PrintModel(ink_names=ink_names, primaries_rgb=primaries, measured=measured,
                      curves=curves, n=np.full(3, n),
                      spread=spread if spread.any() else np.empty((0, 3)))


def _ramp(patches: Patches, seen: FloatArray, bent: FloatArray, ink: int,
          below: int) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Tones, areas (N, 3) and contrast (3,) of one ink's ramp on top of an overprint."""
    others = {other: float(below >> other & 1) for other in range(patches.ink_count)
              if other != ink}
    rows = patches.where(others)
    contrast = bent[below | 1 << ink] - bent[below]
    safe = np.where(np.abs(contrast) < _LEAST_CONTRAST, np.inf, contrast)
    return patches.tones[rows, ink], (seen[rows] - bent[below]) / safe, contrast


def _curves(patches: Patches, seen: FloatArray, bent: FloatArray, ink: int,
            grid: FloatArray) -> FloatArray:
    """Area by film tone of one ink on the bare substrate, per channel; shape (3, T)."""
    from scipy.interpolate import PchipInterpolator

    tones, areas, contrast = _ramp(patches, seen, bent, ink, 0)
    # a channel the ink hardly touches follows the one it touches most
    areas = np.where(np.abs(contrast) < _LEAST_CONTRAST,
                     areas[:, [int(np.argmax(np.abs(contrast)))]], areas)
    rising = np.maximum.accumulate(np.clip(areas, 0.0, 1.0), axis=0)
    return np.clip(PchipInterpolator(tones, rising, axis=0)(grid), 0.0, 1.0).T


def _spreading(patches: Patches, seen: FloatArray, bent: FloatArray, ink: int, below: int,
               curves: FloatArray) -> FloatArray:
    """Least-squares spreading coefficient (3,) of one ink on top of an overprint."""
    tones, areas, contrast = _ramp(patches, seen, bent, ink, below)
    grid = np.linspace(0.0, 1.0, curves.shape[1])
    base = np.stack([np.interp(tones, grid, curve) for curve in curves], axis=1)
    bump = base * (1.0 - base)
    weight = contrast**2
    top = weight * np.sum(bump * (areas - base), axis=0)
    return np.asarray(top / (weight * np.sum(bump**2, axis=0) + _NOISE**2))
