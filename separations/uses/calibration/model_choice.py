"""One tone curve for all light or one for each channel: whichever predicts readings better.

Dots that let light scatter, and inks whose colour shifts with the tint, need a curve for each
channel; where the press does neither, one smooth curve is found more surely. Readings that a fit
did not see decide.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from preflight.job_file.job import Job
from separations.colour.colorimetry import colour_difference, lab_to_xyz
from separations.colour.model_fit import fit_print_model
from separations.colour.print_model import CURVE_ENTRIES, PrintModel
from separations.colour.profile_tables import Pairs
from separations.uses.calibration.curve_fit import CURVE_TONES
from separations.uses.calibration.patches import Patch
from separations.uses.calibration.press_fit import PressFit, fit_at, fit_press
from separations.uses.calibration.press_sheet import press_sheet
from separations.uses.calibration.readings import Readings

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

#: Parts of which each is predicted from the others. Common practice, no source.
_PARTS = 5
#: A tint that both forms miss by more than this is taken for a slip. Own rule.
_STRANGE_DE00 = 4.0
#: Three curves are taken where they miss by less than this share of what one does: at a tie the
#: fewer figures hold better. Own rule.
_CLEARLY = 0.97


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChosenModel:
    """The form of the print model that was taken.

    Attributes
    ----------
    fit : PressFit
        The sheet as fitted; model, predictions and n are those of the form taken.
    channel_curves : dict of str to three tuples of pairs
        Curves for red, green and blue light by ink; empty where one curve serves all.
    missed_by_one, missed_by_three : float
        ΔE00 by which readings that a fit did not see were missed in the mean, with one curve for
        each ink and with three; NaN where colours do not tell.
    """

    fit: PressFit
    channel_curves: dict[str, tuple[Pairs, Pairs, Pairs]]
    missed_by_one: float
    missed_by_three: float

    @property
    def says(self) -> str:
        """Which form was taken, and by how much it was the better, as one sentence."""
        if np.isnan(self.missed_by_three):
            return "Print model: one curve for each ink; colours of all wedges would tell more."
        taken, other = (("three curves for each ink (red, green and blue light)", "one")
                        if self.channel_curves else ("one curve for each ink", "three"))
        better, worse = sorted((self.missed_by_one, self.missed_by_three))
        return (f"Print model: {taken}: readings left out of the fit are missed by ΔE00 "
                f"{better:.2f} on average, with {other} by {worse:.2f}.")


def fit_best(job: Job, patches: Sequence[Patch], readings: Readings, where: str,
             distrusted: Sequence[int] = ()) -> ChosenModel:
    """Fit a sheet in both forms and take the better one by cross-validation.

    Parameters
    ----------
    where : str
        The file of readings, for messages.
    distrusted : sequence of int
        Solid overprints, by place, that the model is to do without.

    Raises
    ------
    InputProblem
        As `fit_press`.

    Notes
    -----
    Tints are dealt out in parts; each part is predicted by fits that never saw it, wedges and
    overprints counting alike. Source: cross-validation, Stone 1974.
    """
    fit = fit_press(job, patches, readings, where, distrusted)
    tones = np.array([patch.tones for patch in patches])
    photo = [place for place, ink in enumerate(job.ink) if ink.prints == "photo"]
    read = _readable(job, fit, tones, photo, readings, distrusted)
    plain = ChosenModel(fit=fit, channel_curves={}, missed_by_one=np.nan, missed_by_three=np.nan)
    if read is None or not fit.n_is_fitted:
        return plain
    names = tuple(job.ink[place].name for place in photo)
    read &= ~_strange(fit, _three_curves(tones[:, photo], readings, read, names),
                      tones[:, photo], readings)
    tints = np.flatnonzero(read & ((tones > 0) & (tones < 1)).any(axis=1))
    kinds = np.array([patch.kind for patch in patches])
    missed = np.full((2, len(tones)), np.nan)
    for part in range(_PARTS):
        held = tints[part::_PARTS]
        kept = readings.lab.copy()
        kept[held] = np.nan
        one = fit_at(press_sheet(job, patches, replace(readings, lab=kept), where, distrusted),
                     fit.n)
        seen = read.copy()
        seen[held] = False
        three = _three_curves(tones[:, photo], readings, seen, names)
        for row, model in enumerate((one.model, three)):
            if model is None:
                return plain
            missed[row, held] = colour_difference(
                model.predict_lab(tones[held][:, photo]), readings.lab[held])
    by_one, by_three = (float(np.mean([
        np.nanmean(row[kinds == kind]) for kind in ("wedge", "tint overprint")
        if not np.isnan(row[kinds == kind]).all()])) for row in missed)
    plain = replace(plain, missed_by_one=by_one, missed_by_three=by_three)
    if by_three >= _CLEARLY * by_one:
        return plain
    best = _three_curves(tones[:, photo], readings, read, names)
    if best is None:
        return plain
    again = fit_press(job, patches, readings, where, distrusted, n=float(best.n[0]))
    return replace(plain, channel_curves=_told_curves(best),
                   fit=_predicted_by(best, again, tones[:, photo], readings))


def model_by_channels(job: Job, patches: Sequence[Patch], readings: Readings, fit: PressFit,
                      distrusted: Sequence[int]) -> PrintModel | None:
    """The form with three curves, from all readings that a fit may use."""
    tones = np.array([patch.tones for patch in patches])
    photo = [place for place, ink in enumerate(job.ink) if ink.prints == "photo"]
    read = _readable(job, fit, tones, photo, readings, distrusted)
    if read is None:
        return None
    return _three_curves(tones[:, photo], readings, read,
                         tuple(job.ink[place].name for place in photo))


def _readable(job: Job, fit: PressFit, tones: FloatArray, photo: Sequence[int],
              readings: Readings, distrusted: Sequence[int]) -> BoolArray | None:
    """Patches of the photograph's inks that a fit may use; None where wedges are densities."""
    if fit.model is None or any(fit.inks[place].read_as != "colour" for place in photo):
        return None
    others = [place for place in range(len(job.ink)) if place not in photo]
    read = ~np.isnan(readings.lab[:, 0]) & (tones[:, others] == 0).all(axis=1)
    read[list(distrusted)] = False
    for place in photo:
        ink = fit.inks[place]
        read[ink.places[~ink.curve.used]] = False
    return np.asarray(read)


def _strange(fit: PressFit, three: PrintModel | None, tones: FloatArray,
             readings: Readings) -> BoolArray:
    """Tints that neither form comes near to: slips rather than the press."""
    far = np.nan_to_num(fit.de00) > _STRANGE_DE00
    if three is not None:
        far &= colour_difference(three.predict_lab(tones), readings.lab) > _STRANGE_DE00
    return np.asarray(far & ~np.isin(tones, (0.0, 1.0)).all(axis=1))


def _three_curves(tones: FloatArray, readings: Readings, seen: BoolArray,
                  names: tuple[str, ...]) -> PrintModel | None:
    """The richer form from the patches seen; None where a solid or the wood is not among them.

    Tints on other inks' solids are left out: they would tell how inks spread there, for which a
    press profile has no place, so that readings would be missed by less than its jobs are.
    """
    inked, tinted = tones > 0.0, (tones > 0.0) & (tones < 1.0)
    seen = seen & ~((tinted.sum(axis=1) == 1) & (inked.sum(axis=1) > 1))
    try:
        return fit_print_model(tones[seen], lab_to_xyz(readings.lab[seen]), ink_names=names)
    except ValueError:
        return None


def _told_curves(model: PrintModel) -> dict[str, tuple[Pairs, Pairs, Pairs]]:
    grid = np.linspace(0.0, 1.0, CURVE_ENTRIES)
    told = {}
    for name, curves in zip(model.ink_names, model.curves, strict=True):
        red, green, blue = (_pairs(np.interp(CURVE_TONES, grid, curve)) for curve in curves)
        told[name] = red, green, blue
    return told


def _predicted_by(model: PrintModel, fit: PressFit, tones: FloatArray,
                 readings: Readings) -> PressFit:
    """A fit whose tints are predicted by another model of the same inks."""
    predicted, de00 = fit.predicted_lab.copy(), fit.de00.copy()
    tinted = ~np.isnan(predicted[:, 0]) & ~np.isin(tones, (0.0, 1.0)).all(axis=1)
    predicted[tinted] = model.predict_lab(tones[tinted])
    both = ~np.isnan(predicted[:, 0]) & ~np.isnan(readings.lab[:, 0])
    de00[both] = colour_difference(predicted[both], readings.lab[both])
    return replace(fit, model=model, predicted_lab=predicted, de00=de00)


def _pairs(areas: FloatArray) -> Pairs:
    rising = np.maximum.accumulate(np.clip(np.round(areas, 5), 0.0, 1.0))
    rising[0], rising[-1] = 0.0, 1.0
    return tuple((float(film), float(area)) for film, area in
                 zip(CURVE_TONES, rising, strict=True))
