"""From the readings of a test sheet to curves, solids, overprints and n."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from separations.colour.colorimetry import (
    colour_difference,
    lab_to_xyz,
    xyz_to_lab,
    xyz_to_wide_rgb,
)
from separations.colour.layering import InkFilm, layered_primaries
from separations.colour.model_fit import N_UNKNOWN
from separations.colour.print_model import CURVE_ENTRIES, PrintModel, plain_model
from separations.uses.calibration.assumed_n import shift_by_n
from separations.uses.calibration.best_n import best_n
from separations.uses.calibration.curve_fit import (
    CurveFit,
    WedgeSignal,
    colour_signal,
    density_signal,
    fit_curve,
)
from separations.uses.calibration.patches import Patch
from separations.uses.calibration.readings import Readings

FloatArray = NDArray[np.float64]

#: A wedge with fewer readings than this makes no curve.
LEAST_READINGS = 5
#: Fewest tints of several inks, read as colours, that tell n where wedges are densities.
_LEAST_TINTS = 3
#: Least density of a solid above the wood, and least fall of a colour channel (0 to 1).
_LEAST_SOLID_D = 0.05
_LEAST_FALL = 0.01
#: Colour differences beyond this count no more when n is judged, so that slips do not.
_MOST_DE00 = 6.0
_LEAST_LIGHT = 1e-5


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
        """Uncertainty of the curve (M,): twice it holds two deviations and any plausible n."""
        return np.asarray(self.curve.sd + 0.5 * self.n_part)


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
              distrusted: Sequence[int] = (), n: float | None = None, *, with_sd: bool = True
              ) -> PressFit:
    """Fit all of a sheet.

    Parameters
    ----------
    where : str
        The file of readings, for messages.
    distrusted : sequence of int
        Solid overprints, by place, that the model is to do without.
    n : float, optional
        Yule-Nielsen factor to take where readings tell n; sought if not given.
    with_sd : bool
        Whether curves get their deviations, which takes most of the time.

    Raises
    ------
    InputProblem
        When an ink's wedge has too few readings, lacks wood or solid, or prints no darker than
        the wood.
    """
    chosen = [_wedge_of(job, ink, patches, readings, where) for ink in range(len(job.ink))]
    tones = np.array([patch.tones for patch in patches])
    wood = _middle(readings.lab[(tones == 0).all(axis=1)])
    photo = [place for place, ink in enumerate(job.ink) if ink.prints == "photo"]
    by_colour = wood is not None and all(
        not np.isnan(_solid_labs(ink, patches, readings)).all() for ink in photo)
    trusted = readings.lab.copy()
    trusted[list(distrusted)] = np.nan
    tells_n = any(read_as == "colour" for _, read_as in chosen) or (
        by_colour and _tints_read(patches, readings) >= _LEAST_TINTS)

    def at(n: float, with_sd: bool = with_sd) -> PressFit:
        inks = tuple(_ink_fit(ink, *chosen[ink], patches, readings, n, with_sd=with_sd)
                     for ink in range(len(job.ink)))
        return _predicted(inks, n, tells_n, wood, photo if by_colour else [], tones, job,
                          readings, trusted)

    if not tells_n:
        assumed = at(N_UNKNOWN)
        return replace(assumed, inks=tuple(
            replace(ink, n_part=shift_by_n(ink.wedge.tones, readings.density[ink.places],
                                           ink.curve)) for ink in assumed.inks))
    if n is not None:
        return at(n)
    return at(best_n(lambda n: fit_score(at(n, False))))


def _wedge_of(job: Job, ink: int, patches: Sequence[Patch], readings: Readings, where: str
              ) -> tuple[NDArray[np.int64], Literal["density", "colour"]]:
    """The patches to fit an ink's curve to, and by which readings."""
    wedge = np.array([place for place, patch in enumerate(patches)
                      if patch.kind == "wedge" and patch.row // 2 == ink])
    by_colour = wedge[~np.isnan(readings.lab[wedge, 0])]
    by_density = wedge[~np.isnan(readings.density[wedge])]
    read_as: Literal["density", "colour"] = (
        "colour" if len(by_colour) >= len(by_density) else "density")
    places = by_colour if read_as == "colour" else by_density
    tones = np.array([patches[place].tones[ink] for place in places])
    name = job.ink[ink].name
    if len(set(tones)) < LEAST_READINGS or tones.min() > 0 or tones.max() < 1:
        told = ", ".join(f"{100 * t:g}" for t in sorted(set(tones))) or "no"
        raise InputProblem(
            where=f"{where}: {name}", found=f"readings of {told} % film tone",
            would_do=f"{LEAST_READINGS} tones or more {_rows_of(patches, wedge)}, with 0 % and "
                     "100 % among them,")
    bare, solid = places[tones == 0], places[tones == 1]
    if read_as == "density":
        rise = float(np.median(readings.density[solid]) - np.median(readings.density[bare]))
        flat = rise < _LEAST_SOLID_D
    else:
        light = _rgb(readings.lab)
        fall = np.median(light[bare], axis=0) - np.median(light[solid], axis=0)
        rise, flat = float(fall.max()), float(np.abs(fall).max()) < _LEAST_FALL
    if flat:
        raise InputProblem(
            where=f"{where}: {name}", found=f"a solid ({patches[solid[0]].name}) that differs from "
            f"the wood ({patches[bare[0]].name}) by {rise:.2f} only",
            would_do="a wedge read from wood to solid, densities in the ink's own channel,")
    return places, read_as


def _rows_of(patches: Sequence[Patch], wedge: NDArray[np.int64]) -> str:
    first, last = (patches[wedge[place]] for place in (0, -1))
    return "of it alone" if first.called else f"of rows {first.name[0]} and {last.name[0]}"


def _ink_fit(ink: int, places: NDArray[np.int64], read_as: Literal["density", "colour"],
             patches: Sequence[Patch], readings: Readings, n: float, *, with_sd: bool) -> InkFit:
    tones = np.array([patches[place].tones[ink] for place in places])
    if read_as == "density":
        wedge = density_signal(tones, readings.density[places], n)
    else:
        wedge = colour_signal(tones, readings.lab[places], n)
    curve = fit_curve(wedge, with_sd=with_sd)
    density = None
    read = readings.density[places]
    if not np.isnan(read[tones == 0]).all() and not np.isnan(read[tones == 1]).all():
        density = float(np.nanmedian(read[tones == 1]) - np.nanmedian(read[tones == 0]))
    return InkFit(places=places, read_as=read_as, wedge=wedge, curve=curve,
                  solid_lab=_middle(_solid_labs(ink, patches, readings)), solid_density=density,
                  n_part=np.zeros_like(curve.sd))


def _tints_read(patches: Sequence[Patch], readings: Readings) -> int:
    """How many tints of several inks were read as colours: they tell n beside densities, too."""
    return sum(patch.kind == "tint overprint" and not np.isnan(read[0])
               for patch, read in zip(patches, readings.lab, strict=True))


def _solid_labs(ink: int, patches: Sequence[Patch], readings: Readings) -> FloatArray:
    rows = [place for place, patch in enumerate(patches)
            if patch.kind == "wedge" and patch.tones[ink] == 1.0]
    return readings.lab[rows]


def _predicted(  # noqa: PLR0913
    inks: tuple[InkFit, ...], n: float, tells_n: bool, wood: FloatArray | None,
    photo: Sequence[int], tones: FloatArray, job: Job, readings: Readings, trusted: FloatArray,
) -> PressFit:
    predicted = np.full((len(tones), 3), np.nan)
    model = None
    if photo and wood is not None:
        solids = [inks[ink].solid_lab for ink in photo]
        single = {1 << place: lab_to_xyz(lab) for place, lab in enumerate(solids)
                  if lab is not None}
        bare = lab_to_xyz(wood)
        films = [InkFilm(over_white_xyz=single[1 << place], white_xyz=bare,
                         over_black_xyz=np.zeros(3)) for place in range(len(photo))]
        layered = layered_primaries(bare, films, measured_xyz=single)
        read = {0: bare, **single, **_overprints(tones[:, photo], trusted)}
        primaries = layered_primaries(bare, films, measured_xyz=read)
        measured = np.array([index in read for index in range(len(primaries))])
        grid = np.linspace(0.0, 1.0, CURVE_ENTRIES)
        model = plain_model(
            tuple(job.ink[ink].name for ink in photo), primaries, measured,
            curves=np.stack([inks[ink].curve.area_at(grid) for ink in photo]), n=n)
        others = [place for place in range(tones.shape[1]) if place not in photo]
        ours = (tones[:, others] == 0).all(axis=1)
        predicted[ours] = model.predict_lab(tones[ours][:, photo])
        solid = ours & np.isin(tones, (0.0, 1.0)).all(axis=1)
        index = (tones[:, photo] @ (1 << np.arange(len(photo)))).astype(np.int64)
        predicted[solid] = xyz_to_lab(layered[index[solid]])
    de00 = np.full(len(tones), np.nan)
    both = ~np.isnan(predicted[:, 0]) & ~np.isnan(readings.lab[:, 0])
    if both.any():
        de00[both] = colour_difference(predicted[both], readings.lab[both])
    return PressFit(inks=inks, n=n, n_is_fitted=tells_n, wood_lab=wood, model=model,
                    predicted_lab=predicted, de00=de00)


def _overprints(tones: FloatArray, lab: FloatArray) -> dict[int, FloatArray]:
    """XYZ of the overprints of two solids and more that were read, by index."""
    found = {}
    for place, row in enumerate(tones):
        index = int(row @ (1 << np.arange(len(row))))
        if np.isin(row, (0.0, 1.0)).all() and row.sum() > 1 and not np.isnan(lab[place, 0]):
            found[index] = lab_to_xyz(lab[place])
    return found


def fit_score(fit: PressFit) -> float:
    """How badly tints come out; of n the tints alone tell."""
    read = fit.de00[~np.isnan(fit.de00)]
    if len(read):
        return float(np.mean(np.minimum(read, _MOST_DE00) ** 2))
    return float(np.mean([np.mean(np.minimum(np.abs(ink.curve.off), 4.0) ** 2)
                          for ink in fit.inks]))


def _middle(labs: FloatArray) -> FloatArray | None:
    """The middle of repeated readings, or None without any."""
    read = labs[~np.isnan(labs[:, 0])]
    if not len(read):
        return None
    near = colour_difference(read, np.median(read, axis=0))
    kept = read[near <= max(3.0 * float(np.median(near)), 1.0)]
    return np.asarray((kept if len(kept) else read).mean(axis=0))


def _rgb(lab: FloatArray) -> FloatArray:
    return np.maximum(xyz_to_wide_rgb(lab_to_xyz(lab)), _LEAST_LIGHT)
