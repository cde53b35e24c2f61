"""How sure a fit is: the same sheet printed and read again, in silico, and fitted each time.

Patches read twice tell the noise, else what the fit left over; readings that the fit would give,
with such noise on them, are fitted as the sheet was. In tints of several inks what the model misses
counts as noise, too. As far as those fits miss what the readings were made from, the sheet's own
may miss the press.

Solids, overprints and tone values are the press's, and so is a proof, whose ± also holds what tints
miss beyond noise. Areas and n are the print model's: their ± holds what the form taken would find
on the same sheet read without noise, which is the value that a fit tends to whether or not the
press is of that form.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import stdtrit

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from separations.colour.colorimetry import colour_difference
from separations.colour.press_profile import NINETY
from separations.colour.print_model import PrintModel
from separations.colour.tone_values import TOLD_TONES
from separations.uses.calibration.colour_noise import colour_noise
from separations.uses.calibration.model_choice import ChosenModel, model_by_channels
from separations.uses.calibration.patches import STEPS_PERCENT, Patch
from separations.uses.calibration.press_fit import InkFit, PressFit, fit_at, fit_score
from separations.uses.calibration.press_sheet import press_sheet
from separations.uses.calibration.readings import Readings
from separations.uses.calibration.tone_value_table import ink_tone_value_increase

FloatArray = NDArray[np.float64]

#: Sheets read anew. Own rule: deviations from so many are sure to about an eighth.
RESAMPLINGS = 32
#: Half of the range of n in which its best is sought, by a parabola through three fits.
_N_STEP = 0.3
_N_RANGE = (1.0, 4.0)
#: Of a normal deviation in three coordinates, what nine in ten lie within over its root mean
#: square: the root of chi square with three degrees of freedom, 6.251 over 3.
_NINE_IN_TEN = 1.443
#: Film tones of a wedge between wood and solid.
STEP_TONES = tuple(step / 100 for step in STEPS_PERCENT[1:-1])
_VALUE_TONES = (*TOLD_TONES, *STEP_TONES)
_UNTOLD = (np.nan,) * len(_VALUE_TONES)
#: Tints that miss by more than this count no further: slips.
_MOST_DE00 = 6.0
#: Tints tried for the proof's uncertainty.
_PROOF_TINTS, _SEED = 400, 13


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FitSpread:
    """How far fits to resampled readings lie from what those were made from.

    Attributes
    ----------
    curve_sd : ndarray, shape (inks, M), float64
        Deviation of each ink's area (0 to 1) at the film tones of its curve.
    tone_value_sd : ndarray, shape (inks, 3), float64
        Deviation of each ink's Murray-Davies tone value (0 to 1) at `TOLD_TONES`; NaN where a
        densitometer would not tell it.
    step_value_sd : ndarray, shape (inks, 13), float64
        The same at `STEP_TONES`.
    n_sd : float
        Deviation of the Yule-Nielsen factor; 0 where it was assumed.
    colour_de00 : float or None
        ΔE00 within which nine in ten tints of a proof lie; None where no colours were read.
    solid_de00 : tuple of (float or None)
        The same of each ink's solid, which is the mean of its readings.
    noise : ndarray, shape (3,), float64
        Deviation of each coordinate (CIELAB) of a single reading.
    """

    curve_sd: FloatArray
    tone_value_sd: FloatArray
    step_value_sd: FloatArray
    n_sd: float
    colour_de00: float | None
    solid_de00: tuple[float | None, ...]
    noise: FloatArray

    def once_read_de00(self, lab: FloatArray) -> float:
        """ΔE00 within which a colour that was read once, as overprints are, lies nine times in ten.

        It differs from colour to colour: the eye tells dark greys apart that it would not as reds.
        """
        return _of_noise(lab, self.noise, 1)


def fit_spread(job: Job, patches: Sequence[Patch], readings: Readings, chosen: ChosenModel,
               distrusted: Sequence[int] = (), *, count: int = RESAMPLINGS) -> FitSpread:
    """Fit readings made anew ``count`` times.

    Notes
    -----
    Source: the smoothed (residual) bootstrap, since the plain one is inconsistent for rising
    curves: Efron 1979; Sen, Banerjee and Woodroofe 2010. Bias beside spread:
    Efron and Tibshirani 1986. Few fits: Student 1908. What a fit of another form than the truth's
    tends to: White 1982. Seeds are fixed: same readings, same ±.
    """
    fit, random = chosen.fit, np.random.default_rng(_SEED)
    noise = colour_noise(fit, patches, readings)
    base = _fitted_readings(fit, patches, readings)
    curves, values, factors, away = [], [], [], []
    tints = random.random((_PROOF_TINTS, 0 if fit.model is None else fit.model.ink_count))
    # of tints a picture tells no colours, so that nothing tells how well they are predicted
    proved = fit.model if readings.read_from == "instrument" else None
    told = None if proved is None else proved.predict_lab(tints)
    for anew in _read_anew(base, fit, _noise_of_patches(fit, patches, readings, noise), random,
                           count):
        model = (model_by_channels(job, patches, anew, fit, distrusted) if chosen.channel_curves
                 else None)
        again = _fitted(job, patches, anew, fit, distrusted, model)
        if again is None:
            continue
        if model is not None:
            again = replace(again, model=model)
        curves.append([ink.curve.printed for ink in again.inks])
        values.append(_values(job, again))
        factors.append(again.n)
        if told is not None and again.model is not None:
            away.append(colour_difference(again.model.predict_lab(tints), told))
    value_sd = _deviation(values, _values(job, fit), np.nan)
    return FitSpread(
        curve_sd=_deviation(curves, [ink.curve.printed for ink in fit.inks], 0.0),
        tone_value_sd=value_sd[:, :len(TOLD_TONES)], step_value_sd=value_sd[:, len(TOLD_TONES):],
        n_sd=float(_deviation(factors, fit.n, 0.0)) if fit.n_is_fitted else 0.0,
        colour_de00=float(np.hypot(np.percentile(away, 90), _NINE_IN_TEN * _misfit(
            fit, patches, noise, float(np.mean(np.square(away)))))) if away else None,
        solid_de00=tuple(
            None if ink.solid_lab is None
            else _of_noise(ink.solid_lab, noise, _solids_read(ink, readings))
            for ink in fit.inks), noise=noise)


def with_spread(chosen: ChosenModel, spread: FitSpread) -> ChosenModel:
    """The same, its curves with the deviations of resampled fits."""
    inks = tuple(replace(ink, curve=replace(ink.curve, sd=sd))
                 for ink, sd in zip(chosen.fit.inks, spread.curve_sd, strict=True))
    return replace(chosen, fit=replace(chosen.fit, inks=inks))


def _values(job: Job, fit: PressFit) -> list[tuple[float, ...]]:
    """Tone value increases of each ink at all film tones at which they are told."""
    return [ink_tone_value_increase(job, place, fit, _VALUE_TONES) or _UNTOLD
            for place, _ in enumerate(fit.inks)]


def _deviation(found: Sequence[ArrayLike], made_from: ArrayLike, unknown: float) -> FloatArray:
    """Root mean square of what was found each time less what it was made from, so that bias counts.

    ``unknown`` if it was found once only. It is larger by Student's t over the normal deviation at
    nine in ten: so few tell it.
    """
    truth = np.asarray(made_from, np.float64)
    if len(found) < 2:
        return np.full(truth.shape, unknown)
    few = float(stdtrit(len(found) - 1, 0.95)) / NINETY
    return np.asarray(few * np.sqrt(np.mean((np.asarray(found, np.float64) - truth)**2, axis=0)))


def _noise_of_patches(fit: PressFit, patches: Sequence[Patch], readings: Readings,
                      noise: FloatArray) -> FloatArray:
    """Deviation of each patch's coordinates (N, 3).

    For tints of several inks what they miss beyond noise is in it: other tints would have missed
    otherwise, and moved n, and the curves with it.
    """
    every = np.tile(noise, (len(patches), 1))
    tints = np.array([patch.kind == "tint overprint" for patch in patches]) & ~np.isnan(fit.de00)
    if tints.any():
        left = np.clip((readings.lab - fit.predicted_lab)[tints], -_MOST_DE00, _MOST_DE00)
        every[tints] = np.sqrt(np.maximum(np.mean(left**2, axis=0), noise**2))
    return every


def _misfit(fit: PressFit, patches: Sequence[Patch], noise: FloatArray, of_fit: float) -> float:
    """Root mean square ΔE00 by which tints of several inks miss beyond what noise makes of them.

    Few tell it, so that it is larger by Student's t over the normal deviation at nine in ten; n,
    where it was fitted to them, is one figure that they no longer tell. ``of_fit`` is
    the mean square by which noise moves a fit's own tints.
    """
    tints = np.array([patch.kind == "tint overprint" for patch in patches])
    tints &= ~np.isnan(fit.de00)
    if not tints.any():
        return 0.0
    told = fit.predicted_lab[tints]
    drawn = told + np.random.default_rng(_SEED).normal(0.0, noise, (200, *told.shape))
    by_noise = float(np.mean(colour_difference(drawn, told) ** 2))
    missed = float(np.mean(np.minimum(fit.de00[tints], _MOST_DE00) ** 2))
    count = int(tints.sum())
    free = max(count - int(fit.n_is_fitted), 1)
    few = float(stdtrit(free, 0.95)) / NINETY
    return few * float(np.sqrt(max(missed * count / free - by_noise - of_fit, 0.0)))


def _fitted_readings(fit: PressFit, patches: Sequence[Patch], readings: Readings) -> Readings:
    """What the sheet would read if the fit were the press; unpredicted patches as read."""
    lab, density = readings.lab.copy(), readings.density.copy()
    tinted = np.array([patch.kind != "solid overprint" for patch in patches])
    told = tinted & ~np.isnan(fit.de00)
    lab[told] = fit.predicted_lab[told]
    for ink in fit.inks:
        if ink.read_as == "density":
            signal = ink.wedge.signal + ink.curve.off * ink.wedge.sd * ink.curve.noise
            density[ink.places] = -fit.n * np.log10(np.maximum(signal, 1e-6))
    return replace(readings, density=density, lab=lab)


def _read_anew(base: Readings, fit: PressFit, noise: FloatArray, random: np.random.Generator,
               count: int) -> Iterator[Readings]:
    density_noise = base.noise_of(np.arange(len(base.density)))
    for ink in fit.inks:
        density_noise[ink.places] *= ink.curve.noise
    for _ in range(count):
        yield replace(base, density=base.density + random.normal(0.0, density_noise),
                      lab=base.lab + random.normal(0.0, noise, base.lab.shape))


def _fitted(
    job: Job, patches: Sequence[Patch], readings: Readings, fit: PressFit,
    distrusted: Sequence[int], by_channels: PrintModel | None,
) -> PressFit | None:
    """Readings fitted as the sheet was; None where no curve is found.

    n is that of the form with a curve for each channel, where it was taken; else it is sought near
    the sheet's own.
    """
    try:
        sheet = press_sheet(job, patches, readings, "resampled", distrusted)

        def at(n: float) -> PressFit:
            return fit_at(sheet, n, slips=False)

        if by_channels is not None or not fit.n_is_fitted:
            return at(fit.n if by_channels is None else float(by_channels.n[0]))
        low = min(max(fit.n - _N_STEP, _N_RANGE[0]), _N_RANGE[1] - 2 * _N_STEP)
        factors = np.array([low, low + _N_STEP, low + 2 * _N_STEP])
        bend, slope, _ = np.polyfit(factors, [fit_score(at(float(n))) for n in factors], 2)
        best = -0.5 * slope / bend if bend > 0.0 else fit.n
        return at(float(np.clip(best, *_N_RANGE)))
    except InputProblem:
        return None


def _solids_read(ink: InkFit, readings: Readings) -> int:
    """How many colours of its solid were read, each with noise of its own."""
    if readings.lab_noise is not None:
        return 1
    solid = ink.places[ink.wedge.tones >= 1.0]
    return max(1, int((~np.isnan(readings.lab[solid, 0])).sum()))


def _of_noise(lab: FloatArray, noise: FloatArray, count: int) -> float:
    """ΔE00 within which nine in ten means of so many readings lie."""
    random = np.random.default_rng(_SEED)
    drawn = lab + random.normal(0.0, noise / np.sqrt(count), (1000, 3))
    return float(np.percentile(colour_difference(drawn, lab), 90))
