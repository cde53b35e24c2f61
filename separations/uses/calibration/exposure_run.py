"""The typed calls behind ``topsheet exposure``."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from preflight.press.stencil_exposure import EXPOSURE_SOURCE
from separations.colour.job_inks import DEFAULT_N, profile_of
from separations.colour.press_profile import PressExposure, PressProfile
from separations.colour.press_profile_file import press_profile_toml
from separations.pipeline.job_folder import job_folder
from separations.report.cautions import DEFER, STENCIL_CAUTIONS
from separations.report.exposure_words import exposure_told
from separations.runtime.progress import Say, silent
from separations.uses.calibration.calibration_run import PROFILE_FILE
from separations.uses.calibration.exposure_films import row_names, write_exposure_films
from separations.uses.calibration.exposure_readings import exposure_csv, read_exposures

TABLE_FILE, WORDS_FILE = "exposure.csv", "exposure.txt"


def make_exposure_films(job_path: Path, out: Path, *, middle_s: float | None = None,
                        say: Say = silent) -> tuple[str, ...]:
    """Make films to expose by steps, the table to fill in, and how to go about it.

    Parameters
    ----------
    job_path : Path
        The job file; its art is not looked at.
    out : Path
        The folder, which appears whole or not at all.
    middle_s : float, optional
        The middle row's time (s); without it the time that job or press profile tell.
    say : callable
        Told what is being done.

    Returns
    -------
    tuple of str
        The films' names.

    Raises
    ------
    InputProblem
        When the job cannot be used, tells no time either, or film or frame are too small.
    """
    job = read_job(job_path)
    middle_s = middle_s or _known_s(job)
    if middle_s is None:
        raise InputProblem(where=f"{job_path}: mesh.exposed",
                           found="no exposure time to begin from",
                           would_do="the option --middle with the time of the emulsion's "
                                    "data sheet")
    with job_folder(job, out) as folder:
        made = tuple(write_exposure_films(job, folder, say))
        (folder / TABLE_FILE).write_text(exposure_csv([cloth for cloth, _ in made], middle_s),
                                         encoding="utf-8-sig", newline="")
        _write_words(folder, job, _how_to())
        return tuple(name for _, name in made)


def learn_exposure(job_path: Path, read_path: Path, out: Path) -> PressProfile:
    """Find the times that a filled table tells, and keep them in a press profile.

    The profile is the job's own with these times in it; a job without one gets one that tells
    nothing else. Parameters and faults are those of `make_exposure_films` and `read_exposures`.
    """
    job = read_job(job_path)
    read = read_exposures(read_path, job)
    known = profile_of(job)
    kept = tuple(one for one in (known.exposure if known else ()) if not any(
        (one.threads_per_cm, one.thread_um) == (new.threads_per_cm, new.thread_um)
        for new in read))
    base = known or PressProfile(title=job.title, date=job.date, n=DEFAULT_N, n_is_fitted=False,
                                 ink=())
    profile = replace(base, exposure=(*kept, *read))
    with job_folder(job, out) as folder:
        (folder / PROFILE_FILE).write_text(press_profile_toml(profile), encoding="utf-8",
                                           newline="\n")
        _write_words(folder, job, [exposure_told(one) for one in read])
    return profile


def _known_s(job: Job) -> float | None:
    profile = profile_of(job)
    known: Sequence[PressExposure] = profile.exposure if profile else ()
    for ink in job.ink:
        mesh = ink.mesh or job.mesh
        if mesh.exposure is not None:
            return mesh.exposure.best_s
        found = next((one for one in known if one.is_for(job.mesh_of(ink))), None)
        if found is not None:
            return found.best_s
    return None


def _how_to() -> list[str]:
    last = row_names()[-1]
    return [
        "Coat, dry and expose as for a job, a 21-step scale beside the film if there is one.",
        f"Expose all rows for the time of row A. Cover row A with card that lets no light "
        f"through, expose for as long as row B says under 'expose further s', cover row B too, "
        f"and so on to row {last}: each row then has the time under 'seconds'.",
        "One long exposure under a scale of densities would do the same: 'less density' is the "
        "density that each row would lie under.",
        "Wash out and dry. Fill in for each row: 'solid holds' (yes where the stencil under the "
        "clear film, column 1, is hard and no longer changes, else no), 'smallest dot %' (of the "
        "tones from the left, the smallest whose dots are all open), and, if there was a scale, "
        "'solid step'; in 'lamp hours' how long the lamp has been on in all.",
        f"Then: topsheet exposure, with the job and this {TABLE_FILE}. {EXPOSURE_SOURCE}."]


def _write_words(folder: Path, job: Job, lines: Sequence[str]) -> None:
    cautions = [f"{one.hazard}: {one.keep_in_mind} ({one.source})" for one in STENCIL_CAUTIONS]
    (folder / WORDS_FILE).write_text("\n\n".join(
        [f"{job.title}: exposing stencils", *lines, "Cautions", *cautions, DEFER]) + "\n",
        encoding="utf-8", newline="\n")
