"""Traps, chokes, films in panels, gaps and strokes: keys whose right value a finding tells."""

from __future__ import annotations

import math
from collections.abc import Iterator

from preflight.checks import limits
from preflight.checks.film_and_screen import film_fits_the_printer
from preflight.checks.frame_and_table import off_contact_suits_the_frame, stroke_follows_the_board
from preflight.checks.register_and_profile import (
    enough_mm,
    register_is_within_the_traps,
    register_of,
    up_to_hundredths,
)
from preflight.facts.submission import Submission
from preflight.findings import Grade
from preflight.mends.mend import Mend


def register_mends(submission: Submission) -> Iterator[Mend]:
    """A trap and a choke that hide the register error, as far as so much may be trapped."""
    job = submission.job
    budget = register_of(submission)
    for finding in register_is_within_the_traps(submission):
        if finding.grade is Grade.CLEAR or finding.id == "register":
            continue
        trap = finding.id == "register-and-trap"
        number = next((n for n, ink in enumerate(job.ink) if ink.name in finding.subjects), 0)
        choke = job.ink[number].choke
        written = job.separation.trap.written if trap else choke.written if choke else None
        hidden_mm = finding.limit.value
        for enough in (budget.worst_mm, enough_mm(budget, hidden_mm)):
            asked = up_to_hundredths(enough)
            if asked <= limits.WIDEST_TRAP.value:
                break
        if hidden_mm < asked <= limits.WIDEST_TRAP.value:
            yield Mend(key_path=("separation", "trap") if trap else ("ink", number, "choke"),
                       before=written, after=f"{asked:.2f} mm", why=finding.says)


def choke_mends(submission: Submission) -> Iterator[Mend]:
    """An underbase drawn in by less than hand register holds shows beside the inks above it."""
    least = limits.CHOKE
    for number, ink in enumerate(submission.job.ink):
        if ink.prints == "underbase" and ink.choke and ink.choke.mm < least.value:
            yield Mend(key_path=("ink", number, "choke"), before=ink.choke.written,
                       after=f"{least.value:g} mm",
                       why=f"An underbase drawn in by {ink.choke.written} shows at the edges of "
                           "the inks above it when register is off by more (common practice, no "
                           "source).")


def panel_mends(submission: Submission) -> Iterator[Mend]:
    """Panels where the film printer takes no film so large."""
    found = [f for f in film_fits_the_printer(submission) if f.grade is Grade.STOP]
    if found:
        yield Mend(key_path=("film", "panels"), before=None, after=True, why=found[0].says)


def off_contact_mends(submission: Submission) -> Iterator[Mend]:
    """The nearest usual gap between mesh and board."""
    gap = submission.job.frame.off_contact
    least, most = limits.OFF_CONTACT_LEAST, limits.OFF_CONTACT_MOST
    found = [f for f in off_contact_suits_the_frame(submission)
             if f.id == "off-contact" and f.grade is not Grade.CLEAR]
    if found:
        after = math.ceil(least.value * 10) if gap.mm < least.value else math.floor(
            most.value * 10)
        yield Mend(key_path=("frame", "off_contact"), before=gap.written,
                   after=f"{after / 10:g} mm", why=found[0].says)


def stroke_mends(submission: Submission) -> Iterator[Mend]:
    """A stroke along the pressed board's curve."""
    for finding in stroke_follows_the_board(submission):
        if finding.grade is not Grade.CLEAR:
            yield Mend(key_path=("frame", "stroke"), before=submission.job.frame.stroke,
                       after="along", why=finding.says)
