"""From the readings of a test sheet to curves, solids, overprints and n."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from preflight.job_file.job import Job
from separations.colour.colorimetry import colour_difference
from separations.colour.model_fit import N_UNKNOWN
from separations.colour.press_profile import NINETY
from separations.colour.print_model import CURVE_ENTRIES, PrintModel, plain_model
from separations.uses.calibration.assumed_n import shift_by_n
from separations.uses.calibration.best_n import best_n
from separations.uses.calibration.curve_fit import CurveFit, areas_at, fit_curve
from separations.uses.calibration.patches import Patch
from separations.uses.calibration.press_sheet import InkReadings, PressSheet, press_sheet
from separations.uses.calibration.readings import Readings
from separations.uses.calibration.wedge_signals import (
    WedgeSignal,
    colour_signal,
    density_signal,
)

FloatArray = NDArray[np.float64]

#: Colour differences beyond this count no more when n is judged, so that slips do not.
_MOST_DE00 = 6.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkFit:
    """One ink's wedge as fitted.

    Attributes
    ----------
    places : ndarray, shape (N,), int64
        Which patches of the sheet were read for it, rising film tone within each pass.
    read_as : {"density", "colour"}
        What was read.
    wedge : WedgeSignal
        The readings.
    curve : CurveFit
        The curve.
    solid_lab : ndarray, shape (3,), float64, or None
        CIELAB of the solid.
    solid_density : float or None
        Density of the solid above the wood.
    n_part : ndarray, shape (M,), float64
        Most that the curve moves (0 to 1, at each of its film tones) with any other plausible n,
        where n was assumed; else nought.
    """

    places: NDArray[np.int64]
    read_as: Literal["density", "colour"]
    wedge: WedgeSignal
    curve: CurveFit
    solid_lab: FloatArray | None
    solid_density: float | None
    n_part: FloatArray

    @property
    def told_sd(self) -> FloatArray:
        """Deviation of the curve (M,): `NINETY` of it hold nine in ten, and any plausible n."""
        return np.asarray(self.curve.sd + self.n_part / NINETY)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PressFit:
    """The whole sheet as fitted.

    Attributes
    ----------
    inks : tuple of InkFit
        In the job's print order.
    n : float
        Yule-Nielsen factor; with ``n_is_fitted`` false it is full scatter, 2.
    wood_lab : ndarray, shape (3,), float64, or None
        The bare wood.
    model : PrintModel or None
        Wood and the photograph's inks, where colours of all their solids were read.
    predicted_lab : ndarray, shape (N, 3), float64
        What each patch should read by solids, curves and n; solid overprints by layering the
        single solids. NaN without a model and for inks that are not the photograph's.
    de00 : ndarray, shape (N,), float64
        Colour difference of each reading from that; NaN where there is none.
    """

    inks: tuple[InkFit, ...]
    n: float
    n_is_fitted: bool
    wood_lab: FloatArray | None
    model: PrintModel | None
    predicted_lab: FloatArray
    de00: FloatArray


def fit_press(job: Job, patches: Sequence[Patch], readings: Readings, where: str,
              distrusted: Sequence[int] = (), n: float | None = None) -> PressFit:
    """Fit all of a sheet.

    Parameters
    ----------
    where : str
        The file of readings, for messages.
    distrusted : sequence of int
        Solid overprints, by place, that the model is to do without.
    n : float, optional
        Yule-Nielsen factor to take where readings tell n; sought if not given.

    Raises
    ------
    InputProblem
        As `separations.uses.calibration.press_sheet.press_sheet`.
    """
    sheet = press_sheet(job, patches, readings, where, distrusted)
    if not sheet.tells_n:
        assumed = fit_at(sheet, N_UNKNOWN, with_sd=True)
        return replace(assumed, inks=tuple(
            replace(ink, n_part=shift_by_n(ink.wedge.tones, readings.density[ink.places],
                                           ink.curve, readings.noise_of(ink.places)))
            for ink in assumed.inks))
    if n is None:
        n = best_n(lambda tried: fit_score(fit_at(sheet, tried)))
    return fit_at(sheet, n, with_sd=True)


def fit_at(sheet: PressSheet, n: float, *, with_sd: bool = False, slips: bool = True) -> PressFit:
    """Fit a sheet with a Yule-Nielsen factor that is given.

    Parameters
    ----------
    n : float
        The factor, at least 1.
    with_sd : bool
        Whether curves get their deviations, which takes most of the time.
    slips : bool
        Whether readings may be far off.
    """
    inks = tuple(_ink_fit(ink, sheet.readings, n, with_sd=with_sd, slips=slips)
                 for ink in sheet.inks)
    predicted = np.full(sheet.readings.lab.shape, np.nan)
    model, photo = None, sheet.photo
    if photo is not None:
        grid = np.linspace(0.0, 1.0, CURVE_ENTRIES)
        model = plain_model(
            photo.names, photo.primaries_xyz, photo.measured,
            curves=areas_at([inks[place].curve for place in photo.places], grid), n=n)
        predicted[photo.ours] = model.predict_lab(photo.tones[photo.ours])
        predicted[photo.solid] = photo.layered_lab
    de00 = np.full(len(predicted), np.nan)
    both = ~np.isnan(predicted[:, 0]) & ~np.isnan(sheet.readings.lab[:, 0])
    if both.any():
        de00[both] = colour_difference(predicted[both], sheet.readings.lab[both])
    return PressFit(inks=inks, n=n, n_is_fitted=sheet.tells_n, wood_lab=sheet.wood_lab,
                    model=model, predicted_lab=predicted, de00=de00)


def _ink_fit(ink: InkReadings, readings: Readings, n: float, *, with_sd: bool,
             slips: bool) -> InkFit:
    if ink.read_as == "density":
        wedge = density_signal(ink.tones, readings.density[ink.places], n,
                               readings.noise_of(ink.places))
    else:
        wedge = colour_signal(ink.tones, readings.lab[ink.places], n)
    curve = fit_curve(wedge, with_sd=with_sd, slips=slips)
    return InkFit(places=ink.places, read_as=ink.read_as, wedge=wedge, curve=curve,
                  solid_lab=ink.solid_lab, solid_density=ink.solid_density,
                  n_part=np.zeros_like(curve.sd))


def fit_score(fit: PressFit) -> float:
    """How badly tints come out; of n the tints alone tell."""
    read = fit.de00[~np.isnan(fit.de00)]
    if len(read):
        return float(np.mean(np.minimum(read, _MOST_DE00) ** 2))
    return float(np.mean([np.mean(np.minimum(np.abs(ink.curve.off), 4.0) ** 2)
                          for ink in fit.inks]))
