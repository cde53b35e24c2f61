"""Does the rosette of three inks stand still, or drift over the board as films lie askew?"""

from __future__ import annotations

import math
from collections.abc import Iterator

from preflight.checks import limits
from preflight.facts.moire_facts import CAREFUL_DEG, RosetteFacts
from preflight.facts.submission import Submission
from preflight.findings import Figure, Finding, Grade


def rosette_stands_still(submission: Submission) -> Iterator[Finding]:
    """The rosette of three inks does not change over the board, nor with it the colour."""
    for facts in submission.rosettes:
        limit, grade = limits.ROSETTE_DRIFT, _grade(facts)
        yield Finding(
            id="rosette", check="Rosette of three inks", subjects=facts.inks, grade=grade,
            says=_told(facts), measured=Figure(value=facts.de00, unit=limit.unit),
            limit=limit.figure, source=limit.source,
            mend=_mend(facts) if grade is not Grade.CLEAR else "")


def _drifts(facts: RosetteFacts) -> bool:
    """Whether it changes so slowly that colour drifts, where quicker changes show as bands."""
    return facts.period_mm >= limits.ROSETTE_BANDS.value


def _told(facts: RosetteFacts) -> str:
    colour = (f"the colour of tints of {facts.tone * 100:.0f} % changes with it by ΔE00 "
              f"{facts.de00:.1f}")
    if not _drifts(facts):
        return (f"At these angles the rosette changes every {facts.period_mm:.1f} mm "
                f"({facts.told}); {colour}.")
    set_as = ("is the same everywhere" if math.isinf(facts.period_mm)
              else f"changes every {facts.period_mm:.0f} mm")
    placed = (f"; askew by as much as the job's placement allows ({facts.placement_deg:.3f}°), "
              f"every {facts.placed_mm:.0f} mm" if facts.placed_mm < facts.length_mm else "")
    return (f"At these angles the rosette {set_as}. With one film {CAREFUL_DEG:g}° "
            f"askew it changes every {facts.careful_mm:.0f} mm{placed}; {colour}.")


def _grade(facts: RosetteFacts) -> Grade:
    """A care where the job's own placement lets it change on the board, or the eye sees bands.

    A note where films laid with care would do so. Changes as short as a few halftone periods are
    the rosette's own texture: there the eye's threshold decides alone.
    """
    slow = _drifts(facts) and facts.de00 > limits.ROSETTE_DRIFT.value
    times, boards = facts.times_threshold, limits.ROSETTE_BOARDS.value
    if times >= limits.MOIRE_PLAIN.value or (slow and facts.placed_mm < facts.length_mm):
        return Grade.CARE
    if times >= limits.MOIRE_FAINT.value or (
            slow and facts.careful_mm < boards * facts.length_mm):
        return Grade.NOTE
    return Grade.CLEAR


def _mend(facts: RosetteFacts) -> str:
    if facts.stands_within_deg <= 0:
        return ("Set these three inks 30° apart at one ruling, so that the rosette stands still, "
                "or give one of them stochastic dots.")
    end_mm = math.tan(math.radians(facts.stands_within_deg)) * facts.length_mm
    return (f"Lay films and screens by the marks at both ends, to {end_mm:.2f} mm over the length "
            "of the board; or print one of the three inks with stochastic dots.")
