"""Was the press profile measured with the cloth and the ruling that this job prints with?"""

from __future__ import annotations

from collections.abc import Iterator

from preflight.checks import limits
from preflight.checks.limits import Limit
from preflight.findings import Figure, Finding, Grade, at_least
from preflight.submission import ProfiledInk, Submission

_CHECK = "Press profile fits the mesh and ruling"
#: What was off: words, per cent, and the limit that it is held against.
Difference = tuple[str, float, Limit]


def profile_fits_mesh_and_ruling(submission: Submission) -> Iterator[Finding]:
    """Curves and transfer hold for the mesh and the ruling that they were measured with."""
    told: dict[tuple[Difference, ...] | None, list[str]] = {}
    for ink in submission.profile_inks:
        told.setdefault(_differences(submission, ink), []).append(ink.name)
    for differences, inks in told.items():
        subject = ", ".join(inks)
        if differences is None:
            yield Finding(
                check=_CHECK, subject=subject, grade=Grade.NOTE,
                says="The press profile does not tell, in figures, which mesh and ruling it was "
                     "measured with.",
                measured=Figure(value=0, unit="figures told"),
                limit=at_least(3, "figures told"), source=limits.PROFILE_FITS.source,
                mend="Compare the profile's notes with this job, or calibrate again: a new "
                     "profile tells.")
            continue
        off = [one for one in differences if one[1] > one[2].value]
        # the one that is furthest past its limit
        _, share, limit = max(differences, key=lambda one: one[1] / one[2].value,
                              default=("", 0.0, limits.PROFILE_FITS))
        yield Finding(
            check=_CHECK, subject=subject, grade=Grade.CARE if off else Grade.CLEAR,
            says="The press profile was measured with " + " and ".join(one[0] for one in off)
                 + "; its tone curves and ink transfer hold for what they were measured with."
            if off else "The press profile was measured with this mesh and ruling.",
            measured=Figure(value=share, unit="% off"),
            limit=Figure(value=limit.value, unit="% off"), source=limit.source,
            mend="Print with the profile's mesh and ruling, or print the wedge of this job "
                 "and calibrate again." if off else "")


def _differences(submission: Submission, profiled: ProfiledInk) -> tuple[Difference, ...] | None:
    """How far each figure of an ink is off the profile's; None where that tells too little."""
    job = submission.job
    ink = next(ink for ink in job.ink if ink.name == profiled.name)
    mesh, spec = job.mesh_of(ink), job.halftone_of(ink)
    asked = [(profiled.threads_per_cm, mesh.threads_per_cm, "a mesh of {:g}/cm, not {:g}/cm",
              limits.PROFILE_FITS),
             (profiled.thread_um, mesh.thread_um, "thread of {:g} µm, not {:g} µm",
              limits.PROFILE_THREAD)]
    # Line work has no dots, stochastic dots have no ruling, and a curve of the ink's own wins.
    if ink.prints != "line work" and spec.dot_shape != "stochastic" and ink.tone_curve is None:
        asked.append((profiled.ruling_lpcm, spec.ruling_lpcm,
                      "a ruling of {:g} l/cm, not {:g} l/cm", limits.PROFILE_FITS))
    found = []
    for then, now, words, limit in asked:
        if then is None:
            return None
        found.append((words.format(round(then, 1), round(now, 1)),
                      round(100 * abs(now / then - 1), 3), limit))
    return tuple(found)
