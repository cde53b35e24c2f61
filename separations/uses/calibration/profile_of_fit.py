"""The press profile that a fitted test sheet makes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preflight.job_file.board_tables import Varnish
from preflight.job_file.job import Job
from separations.colour.job_inks import profile_of
from separations.colour.press_profile import Lab, PressInk, PressOverprint, PressProfile
from separations.ink_need.ink_estimate import Range
from separations.uses.calibration.assumed_n import N_PLAUSIBLE
from separations.uses.calibration.model_choice import ChosenModel
from separations.uses.calibration.patches import Patch
from separations.uses.calibration.press_fit import PressFit
from separations.uses.calibration.readings import Readings
from separations.uses.calibration.resampled_fits import FitSpread
from separations.uses.calibration.suspects import Suspect

#: So many patches without a reading are named.
_NAMES_TOLD = 12


def press_profile_of(
    job: Job, patches: tuple[Patch, ...], readings: Readings, chosen: ChosenModel,
    suspects: tuple[Suspect, ...], transfer: dict[str, Range], spread: FitSpread,
    varnish: Varnish = "none",
) -> PressProfile:
    """The profile that a fit makes; overprints that look wrong are left out of it."""
    fit = chosen.fit
    doubtful = {suspect.patch for suspect in suspects}
    inks = tuple(
        PressInk(name=table.name,
                 tone_curve=tuple((float(film), round(float(area), 5)) for film, area in
                                  zip(ink.curve.film, ink.curve.printed, strict=True)),
                 curve_uncertainty=tuple(round(float(sd), 5) for sd in ink.told_sd),
                 channel_curves=chosen.channel_curves.get(table.name),
                 solid_lab=None if ink.solid_lab is None else _lab(ink.solid_lab),
                 solid_uncertainty_de00=_two_places(within),
                 solid_density=(None if ink.solid_density is None
                                else round(ink.solid_density, 3)),
                 transfer=_rounded(transfer.get(table.name)),
                 threads_per_cm=round(job.mesh_of(table).threads_per_cm, 3),
                 thread_um=round(job.mesh_of(table).thread_um, 3),
                 ruling_lpcm=round(job.ruling_of(table).lpcm, 3))
        for table, ink, within in zip(job.ink, fit.inks, spread.solid_de00, strict=True))
    overprints = tuple(
        PressOverprint(inks=tuple(ink.name for ink, tone in
                                  zip(job.ink, patch.percent, strict=True) if tone),
                       lab=_lab(lab), uncertainty_de00=_two_places(spread.once_read_de00(lab)))
        for patch, lab in zip(patches, readings.lab, strict=True)
        if patch.kind == "solid overprint" and not np.isnan(lab[0]) and patch.name not in doubtful)
    return PressProfile(
        title=job.title, date=job.date, n=round(fit.n, 4), n_is_fitted=fit.n_is_fitted,
        n_uncertainty=round(spread.n_sd, 3) if fit.n_is_fitted else None,
        proof_uncertainty_de00=_two_places(spread.colour_de00),
        wood_lab=None if fit.wood_lab is None else _lab(fit.wood_lab), ink=inks,
        overprint=overprints, notes=(*_ran_with(job), *_measured_with(readings), chosen.says,
                                      *assumed_n_told(job, fit)),
        measurement_condition=readings.condition.mode, varnish=varnish,
        read_from=readings.read_from,
        exposure=known.exposure if (known := profile_of(job)) else ())


def assumed_n_told(job: Job, fit: PressFit) -> tuple[str, ...]:
    """One sentence that n was assumed and what that adds to the curves' ±; none if it was not."""
    if fit.n_is_fitted:
        return ()
    parts = ", ".join(f"{table.name} {100 * ink.n_part.max():.1f} %"
                      for table, ink in zip(job.ink, fit.inks, strict=True))
    low, high = N_PLAUSIBLE
    return (f"Yule-Nielsen n was assumed to be {fit.n:.1f}, since densities do not tell it. Were "
            f"it anywhere from {low:g} to {high:g}, printed tones would move by at most: {parts}; "
            "the curves' ± holds this. Colours read of the patches tell n.",)


def unread_told(patches: tuple[Patch, ...], readings: Readings) -> tuple[str, ...]:
    """Which patches of a sheet have no reading, as one sentence; none if all have one.

    Of several inks on each other densities tell nothing: they are not asked for.
    """
    colours = not np.isnan(readings.lab).all()
    # of tints on each other a picture tells no colours that would be sure enough
    asked = [place for place, patch in enumerate(patches) if patch.kind == "wedge"
             or (colours and (readings.read_from != "scan" or patch.kind == "solid overprint"))]
    names = [patches[place].name for place in asked
             if np.isnan(readings.density[place]) and np.isnan(readings.lab[place, 0])]
    if not names:
        return ()
    told = ", ".join(names[:_NAMES_TOLD]) + (" and more" if len(names) > _NAMES_TOLD else "")
    return (f"Not read, {len(names)} of {len(asked)} patches: {told}.",)


def _ran_with(job: Job) -> list[str]:
    """What a curve holds for, and no other."""
    lines = []
    for ink in job.ink:
        mesh = ink.mesh or job.mesh
        lines.append(f"{ink.name}: mesh {mesh.count.written}, thread {mesh.thread.written}, "
                     f"{job.ruling_of(ink).written} at {ink.angle.deg:g}°, "
                     f"{ink.dot_shape or job.halftone.dot_shape} dots, film "
                     f"{job.film.resolution.written}")
    return [*lines, "Write down beside it: ink and thinner, mesh tension, stencil thickness, "
                    "squeegee, off-contact, wood."]


def _measured_with(readings: Readings) -> tuple[str, ...]:
    says = readings.condition.says
    return (f"Readings: {says}"[:400],) if says else ()


def _rounded(factor: Range | None) -> Range | None:
    return None if factor is None else Range(
        low=round(factor.low, 3), likely=round(factor.likely, 3), high=round(factor.high, 3))


def _two_places(figure: float | None) -> float | None:
    return None if figure is None else round(figure, 2)


def _lab(lab: NDArray[np.float64]) -> Lab:
    light, a, b = (round(float(v), 3) for v in lab)
    return light, a, b
