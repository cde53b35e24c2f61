"""How long stencils are exposed, in words for the operator."""

from __future__ import annotations

from preflight.job_file.job import Job
from preflight.press.mesh import Mesh
from preflight.press.stencil_exposure import (
    EXPOSURE_SOURCE,
    WANTED_STEP,
    ExposureTime,
    step_times,
)
from separations.colour.job_inks import profile_of
from separations.colour.press_profile import PressExposure
from separations.films.mark_fields import EXPOSURE_FIELDS

#: A reading is old after so many days: half a year, as lamps are renewed by a rule of thumb.
#: Source: printwearmag.com (every six months or 500 hours of exposing).
_OLD_DAYS = 183


def exposures_told(job: Job) -> tuple[str, ...]:
    """A sentence for each of the job's meshes that has a reading, and one of lamps; or none.

    A reading that the job itself has stands before the press profile's.
    """
    told = {}
    for ink in job.ink:
        mesh = ink.mesh or job.mesh
        cloth = f"{mesh.count.written}, thread {mesh.thread.written}"
        known = _of_profile(job, job.mesh_of(ink))
        if mesh.exposure is not None and mesh.exposed is not None:
            time = mesh.exposure
            told[cloth] = (
                f"{_time_told(time)}: after {mesh.exposed.written} step {mesh.solid_step} of a "
                f"21-step scale was the last solid one, and step {WANTED_STEP} is wanted."
                f"{_steps_told(time)}")
        elif known is not None:
            told[cloth] = exposure_told(known) + _steps_told(_time_of(known)) + _old(job, known) \
                + _dots_told(job, known)
    if not told:
        return ()
    return (*(f"Stencils on mesh {mesh}: {words}" for mesh, words in told.items()),
            "Lamps lose power with age: lay the scale on every stencil, and read it again with a "
            "new lamp or emulsion (common practice, no source), and after six months or 500 hours "
            f"of exposing (a rule of thumb for lamps, printwearmag.com). {EXPOSURE_SOURCE}.")


def exposure_told(known: PressExposure) -> str:
    """What a press profile tells of one cloth, as a sentence."""
    hours = "" if known.lamp_hours is None else f", the lamp at {known.lamp_hours:.0f} h"
    dots = ("" if known.smallest_dot is None else
            f", with dots of {known.smallest_dot * 100:g} % open")
    return (f"{_time_told(_time_of(known))}: read by steps on {known.date.isoformat()} on "
            f"{known.threads_per_cm:g} threads/cm of {known.thread_um:g} µm{hours}{dots}.")


def _of_profile(job: Job, mesh: Mesh) -> PressExposure | None:
    profile = profile_of(job)
    return next((one for one in (profile.exposure if profile else ()) if one.is_for(mesh)), None)


def _time_of(known: PressExposure) -> ExposureTime:
    return ExposureTime(low_s=known.low_s, best_s=known.best_s, high_s=known.high_s)


def _time_told(time: ExposureTime) -> str:
    return f"expose {time.best_s:.0f} s ({time.low_s:.0f} to {time.high_s:.0f} s)"


def _steps_told(time: ExposureTime) -> str:
    steps = ", ".join(f"{seconds:.0f}" for seconds in step_times(time.best_s, EXPOSURE_FIELDS))
    return f" To try it by steps, the five fields on the films take {steps} s."


def _old(job: Job, known: PressExposure) -> str:
    days = (job.date - known.date).days
    return f" That was {days} days before this job: read it again." if days > _OLD_DAYS else ""


def _dots_told(job: Job, known: PressExposure) -> str:
    """Whether a film of that cloth asks for smaller dots than were open."""
    asked = [job.halftone_of(ink).smallest_tone for ink in job.ink
             if job.has_dots(ink) and job.halftone_of(ink).is_periodic
             and known.is_for(job.mesh_of(ink))]
    if known.smallest_dot is None or not asked or min(asked) >= known.smallest_dot:
        return ""
    return (f" The films have dots from {min(asked) * 100:.1f} %, smaller than those that were "
            "open.")
