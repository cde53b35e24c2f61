"""Colours of wood, solids and overprints, by a colour target of known values in the picture."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preflight.input_problem import InputProblem
from separations.colour.colorimetry import colour_difference, lab_to_xyz, xyz_to_lab
from separations.uses.calibration.patches import Patch
from separations.uses.press_scan.beside_target import Beside, BesideTarget
from separations.uses.press_scan.joined_scans import JoinedScans
from separations.uses.press_scan.scan_reading import ScanReading
from separations.uses.press_scan.target_light import TargetLight

FloatArray = NDArray[np.float64]

#: Patches of which each is predicted without itself may be missed by this (ΔE00, mean). Own rule.
_MOST_MISSED = 6.0
#: Weight of a patch is one over its Y and this, so that dark colours count as the eye sees them.
_DARK = 0.05
#: Fewer patches than this make a matrix alone.
_LEAST_ROOTS = 18


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TargetFit:
    """How a picture's light becomes colours.

    Attributes
    ----------
    matrix : ndarray, shape (3 or 6, 3), float64
        From red, green and blue light (and the roots of their products) to XYZ.
    wood : ndarray, shape (3,), float64
        Light of the bare wood in the same place.
    missed_de00 : float
        ΔE00 by which a patch is missed in the mean that was left out of the fit.
    noise : ndarray, shape (3,), float64
        Root mean square of that in each coordinate of CIELAB.
    """

    matrix: FloatArray
    wood: FloatArray
    missed_de00: float
    noise: FloatArray

    def lab(self, light: FloatArray) -> FloatArray:
        """CIELAB D50, shape (N, 3), of linear light (N, 3)."""
        return _lab(_terms(light, len(self.matrix)) @ self.matrix)


def target_fit(read: Sequence[ScanReading], beside: Beside) -> TargetFit | None:
    """The fit of the target in whichever picture shows it; None without a target.

    Raises
    ------
    InputProblem
        When its colours do not come out.
    """
    for one in read:
        if one.target is not None and beside.colours is not None:
            return fit_target(beside.colours, one.target)
    return None


def solid_colours(patches: Sequence[Patch], joined: JoinedScans, fit: TargetFit | None
                  ) -> FloatArray:
    """CIELAB D50 (N, 3) of bare wood, solids and their overprints; NaN of tints, or of no fit."""
    lab = np.full((len(patches), 3), np.nan)
    if fit is not None:
        whole = np.array([set(patch.percent) <= {0, 100} for patch in patches])
        told = whole & ~np.isnan(joined.light).any(axis=1)
        lab[told] = fit.lab(joined.light[told] * fit.wood)
    return lab


def fit_target(target: BesideTarget, seen: TargetLight) -> TargetFit:
    """Fit the target's colours.

    Parameters
    ----------
    seen : TargetLight
        Light of its patches and of the wood.

    Raises
    ------
    InputProblem
        When its colours do not come out.

    Notes
    -----
    A matrix, or one with the roots of products, which no exposure changes (root-polynomial
    regression, Finlayson, Mackiewicz and Hurlbert 2015, from memory), whichever predicts patches
    better that it did not see.
    """
    fits = [_fit(target, seen, count)
            for count in ((3, 6) if len(seen.patches) >= _LEAST_ROOTS else (3,))]
    best = min(fits, key=lambda fit: fit.missed_de00)
    if best.missed_de00 > _MOST_MISSED:
        raise InputProblem(
            where=str(target.path), found=f"colours that the picture misses by ΔE00 "
            f"{best.missed_de00:.0f} on average",
            would_do="the target's own values, each with its place in the picture (is it turned?), "
                     "under even light without glare,")
    return best


def _fit(target: BesideTarget, seen: TargetLight, count: int) -> TargetFit:
    light = seen.patches
    terms, xyz = _terms(light, count), lab_to_xyz(target.values)
    weight = 1.0 / (xyz[:, 1:2] + _DARK)
    apart = []
    for place in range(len(light)):
        kept = np.arange(len(light)) != place
        matrix = _solved(terms[kept] * weight[kept], xyz[kept] * weight[kept])
        apart.append(_lab(terms[place:place + 1] @ matrix)[0])
    missed = colour_difference(np.array(apart), target.values)
    return TargetFit(
        matrix=_solved(terms * weight, xyz * weight), wood=seen.wood,
        missed_de00=float(np.mean(missed)),
        noise=np.sqrt(np.mean((np.array(apart) - target.values) ** 2, axis=0)))


def _solved(terms: FloatArray, xyz: FloatArray) -> FloatArray:
    return np.asarray(np.linalg.lstsq(terms, xyz, rcond=None)[0])


def _terms(light: FloatArray, count: int) -> FloatArray:
    seen = np.maximum(light, 0.0)
    red, green, blue = seen.T
    roots = np.sqrt(np.stack([red * green, green * blue, blue * red], axis=1))
    return np.concatenate([seen, roots], axis=1)[:, :count]


def _lab(xyz: FloatArray) -> FloatArray:
    return np.asarray(xyz_to_lab(np.maximum(xyz, 1e-5)))
