"""The typed calls behind ``topsheet wedge`` and ``topsheet calibrate``."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preflight.files.whole_files import whole_folder
from preflight.input_problem import InputProblem
from preflight.job_file.board_tables import Varnish
from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from separations.colour.icc.output_profile import output_profile
from separations.colour.job_inks import profile_of
from separations.colour.press_profile import Lab, PressInk, PressOverprint, PressProfile
from separations.colour.press_profile_file import press_profile_toml
from separations.films.film_set import count_films
from separations.ink_need.ink_estimate import Range
from separations.pipeline.job_folder import job_folder
from separations.pipeline.prepared_job import ready_films
from separations.pipeline.session import Session
from separations.runtime.progress import Say, silent
from separations.uses.calibration.assumed_n import N_PLAUSIBLE
from separations.uses.calibration.calibration_page import calibration_html
from separations.uses.calibration.exchanged_columns import check_columns
from separations.uses.calibration.model_choice import ChosenModel, fit_best
from separations.uses.calibration.patches import Patch
from separations.uses.calibration.press_fit import PressFit
from separations.uses.calibration.readings import Readings
from separations.uses.calibration.resampled_fits import FitSpread, fit_spread, with_spread
from separations.uses.calibration.sheet_by_tones import read_sheet
from separations.uses.calibration.sureness import sureness_told
from separations.uses.calibration.suspects import Suspect, suspect_readings
from separations.uses.calibration.wedge_films import write_wedge
from separations.uses.calibration.weighed_ink import read_weighings, transfer_factors

PROFILE_FILE = "press_profile.toml"
PAGE_FILE = "calibration.html"
ICC_FILE = "press.icc"
#: So many patches without a reading are named.
_NAMES_TOLD = 12


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Calibration:
    """What a measured test sheet told.

    Attributes
    ----------
    profile : PressProfile
        As written.
    fit : PressFit
        What it rests on.
    suspects : tuple of Suspect
        Readings to look at again, in the order of the sheet.
    unread : tuple of str
        Which patches have no reading, one sentence; none if all have.
    model : str
        Which form of the print model was taken, and by how much it was the better one.
    assumed : tuple of str
        What was assumed and what it adds to the uncertainty, a sentence each.
    sure : str
        How sure curves, n and colours are, as one sentence.
    """

    profile: PressProfile
    fit: PressFit
    suspects: tuple[Suspect, ...]
    unread: tuple[str, ...]
    assumed: tuple[str, ...]
    model: str
    sure: str


def make_wedge(job_path: Path, out: Path, *, say: Say = silent) -> tuple[str, ...]:
    """Make the films of a job's test sheet, and the list to fill in.

    Parameters
    ----------
    job_path : Path
        The job file; its art is not looked at.
    out : Path
        The folder, which appears whole or not at all.
    say : callable
        Told what is being done.

    Returns
    -------
    tuple of str
        The films' names, in print order.

    Raises
    ------
    InputProblem
        When the job cannot be used, its film or frame is too small for the sheet, or the folder
        cannot be written.
    """
    job = read_job(job_path)
    with job_folder(job, out) as folder:
        return write_wedge(job, folder, say)


def calibrate(
    job_path: Path, measured_path: Path, out: Path, *, weighed_path: Path | None = None,
    with_icc: bool = False, varnished: bool = False, say: Say = silent,
) -> Calibration:
    """Fit a job's measured test sheet; write a press profile and a page that shows the fit.

    Parameters
    ----------
    job_path : Path
        The job file that the test sheet was made from.
    measured_path : Path
        The sheet's list of patches with its readings, or CGATS text of another sheet that tells
        each patch's film tones.
    out : Path
        The folder, which appears whole or not at all.
    weighed_path : Path, optional
        A table of weighed ink; the job's art is separated to count the area that it covered.
    with_icc : bool
        Also write an ICC profile of the inks as measured.
    varnished : bool
        Whether the patches were read under the varnish that the job names.
    say : callable
        Told what is being done.

    Raises
    ------
    InputProblem
        When a job without varnish is said to be read under one; job, readings or weighings
        cannot be used, or the folder cannot be written.
    """
    job = read_job(job_path)
    if varnished and job.finish.varnish == "none":
        raise InputProblem(where=f"{job_path}: finish.varnish", found="no varnish",
                           would_do="the varnish that the patches were read under")
    patches, readings = read_sheet(measured_path, job)
    check_columns(job, patches, readings, str(measured_path))
    with whole_folder(out) as folder:
        say("Fitting curves")
        chosen = fit_best(job, patches, readings, str(measured_path))
        suspects = suspect_readings(job, patches, readings, chosen.fit)
        doubtful = _solid_overprints(patches, suspects)
        if doubtful:
            chosen = fit_best(job, patches, readings, str(measured_path), doubtful)
            suspects = suspect_readings(job, patches, readings, chosen.fit)
        say("Fitting made-up readings like these")
        spread = fit_spread(job, patches, readings, chosen, doubtful)
        chosen = with_spread(chosen, spread)
        fit = chosen.fit
        transfer = _transfer(job, weighed_path, say) if weighed_path else {}
        profile = press_profile_of(job, patches, readings, chosen, suspects, transfer, spread,
                                   varnish=job.finish.varnish if varnished else "none")
        (folder / PROFILE_FILE).write_text(press_profile_toml(profile), encoding="utf-8",
                                           newline="\n")
        (folder / PAGE_FILE).write_text(
            calibration_html(job, patches, readings, chosen, suspects, profile, spread),
            encoding="utf-8", newline="\n")
        if with_icc:
            say("Turning colours into inks")
            written = str((folder / PROFILE_FILE).resolve())
            pressed = replace(job, press_profile=written, outside_allowed=True)
            (folder / ICC_FILE).write_bytes(output_profile(pressed).content)
        return Calibration(profile=profile, fit=fit, suspects=suspects,
                           unread=unread_told(patches, readings), model=chosen.says,
                           assumed=assumed_n_told(job, fit), sure=sureness_told(profile))


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
        exposure=known.exposure if (known := profile_of(job)) else ())


def unread_told(patches: tuple[Patch, ...], readings: Readings) -> tuple[str, ...]:
    """Which patches of a sheet have no reading, as one sentence; none if all have one."""
    names = [patch.name for patch, density, lab in
             zip(patches, readings.density, readings.lab, strict=True)
             if np.isnan(density) and np.isnan(lab[0])]
    if not names:
        return ()
    told = ", ".join(names[:_NAMES_TOLD]) + (" and more" if len(names) > _NAMES_TOLD else "")
    return (f"Not read, {len(names)} of {len(patches)} patches: {told}.",)


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


def _solid_overprints(patches: tuple[Patch, ...], suspects: tuple[Suspect, ...]) -> list[int]:
    names = {suspect.patch for suspect in suspects}
    return [place for place, patch in enumerate(patches)
            if patch.kind == "solid overprint" and patch.name in names]


def _transfer(job: Job, weighed_path: Path, say: Say) -> dict[str, Range]:
    weighings = read_weighings(weighed_path, job)
    say("Separating the art")
    counted = count_films(ready_films(Session(job)), say)
    estimates = {estimate.ink: estimate for estimate in counted.estimates}
    return transfer_factors(weighings, estimates, weighed_path)


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
