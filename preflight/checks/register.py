"""Do the traps hide what films, mesh, board and hand miss each other by?"""

from __future__ import annotations

from collections.abc import Iterator

from preflight.checks import limits
from preflight.findings import Figure, Finding, Grade
from preflight.register_budget import RegisterBudget, job_register
from preflight.submission import Submission


def register_is_within_the_traps(submission: Submission) -> Iterator[Finding]:
    """The register budget at the board's ends against the trap and the underbase's choke."""
    job = submission.job
    if len(job.ink) < 2:
        return
    budget = job_register(job, submission.area.image_bounds)
    traps = []
    if any(art.table.kind == "line" and art.table.beneath == "knock out"
           for art in submission.art):
        traps.append(("the trap under knocked-out line work", "separation.trap",
                      job.separation.trap.mm))
    if job.underbase is not None:
        traps.append(("the choke of the underbase", "its choke", job.choke_mm_of(job.underbase)))
    for what, key, hidden_mm in traps:
        yield _against(budget, what, hidden_mm, limits.REGISTER_SHARE.source,
                       mend=f"Set {key} to {_enough_mm(budget, hidden_mm):.2f} mm or more")
    if not traps:
        yield _against(budget, "what the trade keeps on long veneer", limits.REGISTER_LONG.value,
                       limits.REGISTER_LONG.source, mend="Register with stops and pins")


def _enough_mm(budget: RegisterBudget, hidden_mm: float) -> float:
    """A trap that hides what is likely, or where that is hidden already, the worst."""
    return budget.worst_mm if budget.likely_mm <= hidden_mm else budget.likely_mm * 1.1


def _against(
    budget: RegisterBudget, what: str, hidden_mm: float, source: str, mend: str
) -> Finding:
    grade = (Grade.CARE if budget.likely_mm > hidden_mm else
             Grade.NOTE if budget.worst_mm > hidden_mm else Grade.CLEAR)
    told = ", ".join(f"{p.name} {p.error_mm:.2f}" for p in budget.parts)
    greatest = budget.greatest
    return Finding(
        check="Register over the length", subject=what, grade=grade,
        says=f"{budget.reach_mm:.0f} mm from where they are registered two inks may lie "
             f"{budget.likely_mm:.2f} mm apart, {budget.worst_mm:.2f} mm at worst ({told} mm); "
             f"{what} is {hidden_mm:.2f} mm.",
        # where only the worst is beyond the limit, that is the figure that breaks it
        measured=Figure(value=budget.likely_mm, unit="mm likely") if grade is Grade.CARE
        else Figure(value=budget.worst_mm, unit="mm at worst"),
        limit=Figure(value=hidden_mm, unit="mm"), source=source,
        place=budget.worst_place if grade is not Grade.CLEAR else None,
        mend="" if grade is Grade.CLEAR else
        f"{mend}, or mend the greatest cause ({greatest.name}): make and keep all films in one "
        "room until they are exposed, print all hits on one day, and lay each board against "
        "fixed stops.")
