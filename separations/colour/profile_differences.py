"""Where a job tells something else than its press profile measured, and by how much."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from preflight.facts.profile_facts import ProfileDifference
from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from separations.colour.colorimetry import colour_difference, lab_to_xyz
from separations.colour.ink_figures import Lab
from separations.colour.job_inks import (
    curve_of,
    profile_of,
    told_curve,
    told_wood_lab,
    whole_model,
)
from separations.colour.press_profile import PressInk
from separations.colour.print_model import CURVE_ENTRIES, plain_model
from separations.colour.tone_curve import ToneCurve

_HALF = 0.5
#: The curve of a job that tells none; no profile differs from what was not told.
_UNTOLD_CURVE = "published"


def profile_differences(job: Job) -> tuple[ProfileDifference, ...]:
    """All that the job's own keys and its press profile both tell; none without a profile.

    Raises
    ------
    InputProblem
        When the profile cannot be read, or an ink's colour is named and there is no such name.
    """
    return tuple(_differences(job))


def _differences(job: Job) -> Iterator[ProfileDifference]:
    profile = profile_of(job)
    if profile is None:
        return
    alike = profile.varnish == "none"  # what the job tells of colours is of a bare print
    wood = told_wood_lab(job)
    if alike and wood is not None and profile.wood_lab is not None:
        yield ProfileDifference(what="wood", in_job=_shown(wood),
                                in_profile=_shown(profile.wood_lab),
                                key=f"{'lab' if job.wood.lab else 'reflectance'} in [wood]",
                                de00=float(colour_difference(wood, profile.wood_lab)))
    told = whole_model(job, readings=False)
    for place, ink in enumerate(job.ink):
        pressed = profile.of(ink.name)
        if pressed is None:
            continue
        if alike and pressed.solid_lab is not None:
            light, a, b = (float(v) for v in told.primaries_lab[1 << place])
            named = f"'{ink.colour}', " if ink.colour is not None else ""
            own = "reflectance" if ink.reflectance is not None else "over_white"
            yield ProfileDifference(
                what="solid", ink=ink.name,
                in_job=f"{named}{_shown((light, a, b))} on this wood",
                in_profile=_shown(pressed.solid_lab),
                key="" if named else f"{own} of {ink.name}",
                de00=float(colour_difference((light, a, b), pressed.solid_lab)))
        if ink.tone_curve is not None or job.halftone.tone_curve != _UNTOLD_CURVE:
            yield _of_curves(job, ink, pressed, told.primaries_lab[[0, 1 << place]], profile.n)


def _of_curves(job: Job, ink: InkTable, pressed: PressInk,
               wood_and_solid: NDArray[np.float64], n: float) -> ProfileDifference:
    own = told_curve(job, ink)
    measured = curve_of(job, ink)
    ends = lab_to_xyz(wood_and_solid)
    if pressed.solid_lab is not None:
        ends[1] = lab_to_xyz(pressed.solid_lab)
    tints = np.linspace(0.0, 1.0, 21)[:, None]
    of_job, of_profile = (
        plain_model((ink.name,), ends, np.ones(2, np.bool_), n=n,
                    curves=curve.table(CURVE_ENTRIES)[None]).predict_lab(tints)
        for curve in (own, measured))
    return ProfileDifference(
        what="tone curve", ink=ink.name, in_job=f"50 % printed as {_percent(own, _HALF)}",
        in_profile=f"50 % printed as {_percent(measured, _HALF)}",
        key=f"tone_curve of {ink.name}" if ink.tone_curve else "tone_curve in [halftone]",
        de00=float(colour_difference(of_job, of_profile).max()))


def _percent(curve: ToneCurve, tone: float) -> str:
    return f"{100 * float(curve.printed_tone(tone)):.1f} %"


def _shown(lab: Lab) -> str:
    return f"L* {lab[0]:.1f}, a* {lab[1]:.1f}, b* {lab[2]:.1f}".replace("-", "−")
