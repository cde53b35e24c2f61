"""Is register within the traps, and does the press profile fit this job's mesh and ruling?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from preflight.basis import Source
from preflight.checks import limits
from preflight.checks.limit_row import Limit
from preflight.facts.register_budget import RegisterBudget, job_register
from preflight.facts.submission import ProfiledInk, Submission
from preflight.findings import Figure, Finding, Grade, at_least
from preflight.press.seen_print import apart_mm


def register_is_within_the_traps(submission: Submission) -> Iterator[Finding]:
    """The register budget at the board's ends against the trap and the underbase's choke."""
    job = submission.job
    if len(job.ink) < 2:
        return
    budget = register_of(submission)
    traps = traps_of(submission)
    for trap in traps:
        hidden_mm = trap.hidden_mm
        enough = up_to_hundredths(enough_mm(budget, hidden_mm))
        yield _against(budget, trap, limits.REGISTER_SHARE.source,
                       mend=f"Set the {trap.key} to {enough:.2f} mm or more")
    if not traps:
        long = limits.REGISTER_LONG
        yield _against(budget, Trap("register", "what the trade keeps on long veneer", "",
                                    long.value, ()), long.source,
                       mend="Register with stops and pins")


def register_of(submission: Submission) -> RegisterBudget:
    """The job's register budget, with what its press profile saw of register."""
    return job_register(submission.job, submission.area.image_bounds,
                        most_apart(submission)[0])


def most_apart(submission: Submission) -> tuple[float, float, tuple[str, str] | tuple[()]]:
    """How far two of the job's inks lay apart on the test sheet at most (mm).

    With what that lies within nine times in ten, and the two; 0, 0 and none where nobody looked.
    """
    seen = submission.profile_inks
    first = next((ink.seen.register.to for ink in seen if ink.seen.register), None)
    known = [ink for ink in seen if ink.seen.register or ink.name == first]
    pairs = [(*apart_mm(one.seen.register, other.seen.register), (one.name, other.name))
             for one, other in combinations(known, 2)]
    return max(pairs, key=lambda pair: pair[0], default=(0.0, 0.0, ()))


def traps_of(submission: Submission) -> list[Trap]:
    """What hides misregister in the job, with the share of it that counts."""
    job, share = submission.job, limits.REGISTER_SHARE.value
    traps: list[Trap] = []
    if any(art.table.kind == "line" and art.table.beneath == "knock out"
           for art in submission.art):
        traps.append(Trap("register-and-trap", "the trap under knocked-out line work",
                          "trap in [separation]", job.separation.trap.mm * share, ()))
    if job.underbase is not None:
        traps.append(Trap("register-and-choke", "the choke of the underbase",
                          f"choke of {job.underbase.name}",
                          job.choke_mm_of(job.underbase) * share, (job.underbase.name,)))
    return traps


@dataclass(frozen=True, slots=True)
class Trap:
    """What hides misregister: its name and key, how much it hides, and whose it is."""

    id: str
    what: str
    key: str
    hidden_mm: float
    subjects: tuple[str, ...]


def up_to_hundredths(mm: float) -> float:
    """A length in mm, rounded up to what a job file would say."""
    return math.ceil(round(mm * 100, 6)) / 100


def enough_mm(budget: RegisterBudget, hidden_mm: float) -> float:
    """A trap that hides what is likely, or where that is hidden already, the worst."""
    return budget.worst_mm if budget.likely_mm <= hidden_mm else budget.likely_mm * 1.1


def _against(budget: RegisterBudget, trap: Trap, source: Source, mend: str) -> Finding:
    hidden_mm = trap.hidden_mm
    grade = (Grade.CARE if budget.likely_mm > hidden_mm else
             Grade.NOTE if budget.worst_mm > hidden_mm else Grade.CLEAR)
    told = ", ".join(f"{p.name} {p.error_mm:.2f} mm" for p in budget.parts)
    greatest = budget.greatest
    return Finding(
        id=trap.id, check="Register over the length", subjects=trap.subjects, subject=trap.what,
        grade=grade,
        says=f"At {budget.reach_mm:.0f} mm from where they are registered, two inks are likely to "
             f"lie {budget.likely_mm:.2f} mm apart, {budget.worst_mm:.2f} mm at worst ({told}); "
             f"{trap.what} is {hidden_mm:.2f} mm.",
        # where only the worst is beyond the limit, that is the figure that breaks it
        measured=Figure(value=budget.likely_mm, unit="mm likely") if grade is Grade.CARE
        else Figure(value=budget.worst_mm, unit="mm at worst"),
        limit=Figure(value=hidden_mm, unit="mm"), source=source,
        place=budget.worst_place if grade is not Grade.CLEAR else None,
        mend="" if grade is Grade.CLEAR else
        f"{mend}; or lessen the greatest cause, {greatest.name}: {greatest.mend}.")


#: What a profile is to tell of an ink.
_ASKED = ("threads per cm", "thread", "ruling")
_CHECK = "Mesh and ruling of the press profile"
#: What was off: words, per cent, and the limit that it is held against.
Difference = tuple[str, float, Limit]


def profile_fits_mesh_and_ruling(submission: Submission) -> Iterator[Finding]:
    """Curves and transfer hold for the mesh and the ruling that they were measured with."""
    told: dict[tuple[Difference, ...] | None, list[str]] = {}
    for ink in submission.profile_inks:
        told.setdefault(_differences(submission, ink), []).append(ink.name)
    for differences, inks in told.items():
        if differences is None:
            yield Finding(
                id="profile-fits", check=_CHECK, subjects=tuple(inks), grade=Grade.NOTE,
                says="The press profile does not give the mesh and the ruling that it was measured "
                     "with.",
                measured=Figure(value=0, unit="figures given"),
                limit=at_least(len(_ASKED), "figures given"), source=limits.PROFILE_FITS.source,
                mend="Compare the profile's notes with this job, or calibrate again: a new "
                     "profile gives them.")
            continue
        off = [one for one in differences if one[1] > one[2].value]
        # the one that is furthest past its limit
        _, share, limit = max(differences, key=lambda one: one[1] / one[2].value,
                              default=("", 0.0, limits.PROFILE_FITS))
        yield Finding(
            id="profile-fits", check=_CHECK, subjects=tuple(inks),
            grade=Grade.CARE if off else Grade.CLEAR,
            says="The press profile was measured with " + " and ".join(one[0] for one in off)
                 + "; its tone curves and ink transfer hold for what they were measured with."
            if off else "The press profile was measured with this mesh and ruling.",
            measured=Figure(value=share, unit=limit.unit), limit=limit.figure, source=limit.source,
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
    # Line work has no dots, and stochastic dots have no ruling.
    if ink.prints != "line work" and spec.is_periodic:
        asked.append((profiled.ruling_lpcm, spec.ruling_lpcm,
                      "a ruling of {:g} l/cm, not {:g} l/cm", limits.PROFILE_FITS))
    found = []
    for then, now, words, limit in asked:
        if then is None:
            return None
        found.append((words.format(round(then, 1), round(now, 1)),
                      round(100 * abs(now / then - 1), 3), limit))
    return tuple(found)
