"""The press profile that a job refers to: what was measured on this shop's own press."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from preflight.submission import ProfiledInk
from separations.inks.press_profile import PressProfile, profile_curves, read_press_profile
from separations.inks.tone_curve import ToneCurve


def profile_of(job: Job) -> PressProfile | None:
    """The job's press profile, if it names one.

    Raises
    ------
    InputProblem
        When the file cannot be read or holds something else.
    """
    if job.press_profile is None:
        return None
    path = job.beside(job.press_profile)
    changed = path.stat().st_mtime_ns if path.is_file() else 0
    return _read_once(path, changed)


def profiled_curve(job: Job, ink: InkTable) -> ToneCurve | None:
    """The ink's measured tone curve, if the job's profile has one and the ink none of its own."""
    profile = profile_of(job)
    if profile is None or ink.tone_curve is not None:
        return None
    return profile_curves(profile).get(ink.name)


def profile_inks(job: Job) -> tuple[ProfiledInk, ...]:
    """What those of the job's inks that its profile has were printed with."""
    profile = profile_of(job)
    found = [] if profile is None else [profile.of(ink.name) for ink in job.ink]
    return tuple(ProfiledInk(name=ink.name, threads_per_cm=ink.threads_per_cm,
                             thread_um=ink.thread_um, ruling_lpcm=ink.ruling_lpcm)
                 for ink in found if ink is not None)


@lru_cache(maxsize=8)
def _read_once(path: Path, _changed: int) -> PressProfile:
    return read_press_profile(path)
