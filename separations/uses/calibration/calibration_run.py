"""The typed calls behind ``topsheet wedge`` and ``topsheet calibrate``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from preflight.files.whole_files import whole_folder
from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from preflight.press.seen_print import SeenPrint
from separations.colour.icc.output_profile import output_profile
from separations.colour.press_profile import PressProfile, with_seen_prints
from separations.colour.press_profile_file import press_profile_toml
from separations.films.film_set import count_films
from separations.ink_need.ink_estimate import Range
from separations.pipeline.job_folder import job_folder
from separations.pipeline.prepared_job import ready_films
from separations.pipeline.session import Session
from separations.runtime.progress import Say, silent
from separations.uses.calibration.calibration_page import calibration_html
from separations.uses.calibration.exchanged_columns import check_columns
from separations.uses.calibration.model_choice import fit_best
from separations.uses.calibration.patches import Patch
from separations.uses.calibration.press_fit import PressFit
from separations.uses.calibration.profile_of_fit import (
    assumed_n_told,
    press_profile_of,
    unread_told,
)
from separations.uses.calibration.readings import Readings
from separations.uses.calibration.resampled_fits import (
    FitSpread,
    fit_spread,
    with_spread,
)
from separations.uses.calibration.shared_spread import with_shared
from separations.uses.calibration.sheet_by_tones import read_sheet
from separations.uses.calibration.sureness import sureness_told
from separations.uses.calibration.suspects import Suspect, suspect_readings
from separations.uses.calibration.wedge_films import write_wedge
from separations.uses.calibration.weighed_ink import read_weighings, transfer_factors

PROFILE_FILE = "press_profile.toml"
PAGE_FILE = "calibration.html"
ICC_FILE = "press.icc"


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
    spread : FitSpread
        The same in figures.
    """

    profile: PressProfile
    fit: PressFit
    suspects: tuple[Suspect, ...]
    unread: tuple[str, ...]
    assumed: tuple[str, ...]
    model: str
    sure: str
    spread: FitSpread


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MeasuredSheet:
    """A sheet's readings.

    Attributes
    ----------
    patches : tuple of Patch
        Its patches.
    readings : Readings
        What was read of each.
    where : str
        The file or files, for messages.
    further_files : mapping of str to bytes
        What else is to be written beside the profile, by file name.
    seen : mapping of str to SeenPrint
        What pictures of it told of inks' register and dots, by the ink's name.
    """

    patches: tuple[Patch, ...]
    readings: Readings
    where: str
    further_files: Mapping[str, bytes] = field(default_factory=dict)
    seen: Mapping[str, SeenPrint] = field(default_factory=dict)


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
    patches, readings = read_sheet(measured_path, job)
    return calibrate_sheet(
        job, MeasuredSheet(patches=patches, readings=readings, where=str(measured_path)), out,
        weighed_path=weighed_path, with_icc=with_icc, varnished=varnished, say=say)


def calibrate_sheet(
    job: Job, sheet: MeasuredSheet, out: Path, *, weighed_path: Path | None = None,
    with_icc: bool = False, varnished: bool = False, say: Say = silent,
) -> Calibration:
    """The same as `calibrate`, of readings that were made already.

    Raises
    ------
    InputProblem
        As `calibrate`.
    """
    if varnished and job.finish.varnish == "none":
        raise InputProblem(where=f"{job.path}: finish.varnish", found="no varnish",
                           would_do="the varnish that the patches were read under")
    patches, readings, where = sheet.patches, sheet.readings, sheet.where
    check_columns(job, patches, readings, where)
    with whole_folder(out) as folder:
        say("Fitting curves")
        chosen = fit_best(job, patches, readings, where)
        suspects = suspect_readings(job, patches, readings, chosen.fit)
        doubtful = _solid_overprints(patches, suspects)
        if doubtful:
            chosen = fit_best(job, patches, readings, where, doubtful)
            suspects = suspect_readings(job, patches, readings, chosen.fit)
        say("Fitting made-up readings like these")
        spread = with_shared(fit_spread(job, patches, readings, chosen, doubtful), chosen.fit,
                             readings)
        chosen = with_spread(chosen, spread)
        fit = chosen.fit
        transfer = _transfer(job, weighed_path, say) if weighed_path else {}
        profile = press_profile_of(job, patches, readings, chosen, suspects, transfer, spread,
                                   varnish=job.finish.varnish if varnished else "none")
        profile = with_seen_prints(profile, sheet.seen)
        for name, content in {
            **sheet.further_files, PROFILE_FILE: press_profile_toml(profile).encode(),
            PAGE_FILE: calibration_html(job, patches, readings, chosen, suspects, profile,
                                        spread).encode(),
        }.items():
            (folder / name).write_bytes(content)
        if with_icc:
            say("Turning colours into inks")
            written = str((folder / PROFILE_FILE).resolve())
            pressed = replace(job, press_profile=written, outside_allowed=True)
            (folder / ICC_FILE).write_bytes(output_profile(pressed).content)
        return Calibration(profile=profile, fit=fit, suspects=suspects,
                           unread=unread_told(patches, readings), model=chosen.says,
                           assumed=assumed_n_told(job, fit), sure=sureness_told(profile),
                           spread=spread)


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
