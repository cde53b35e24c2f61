"""Does the rosette of three inks stand still, or drift over the board as films lie askew?"""

from __future__ import annotations

import math
from collections.abc import Iterator

from preflight.checks import limits
from preflight.findings import Figure, Finding, Grade
from preflight.moire_facts import PLAINLY_SEEN, SEEN_WHEN_LOOKED_FOR
from preflight.rosette_facts import BY_EYE_DEG, CAREFUL_DEG, RosetteFacts
from preflight.submission import Submission

#: Changes slower than this are seen as colour that drifts, not as bands. Own rule, no source.
_DRIFTS_FROM_MM = 10.0


def rosette_stands_still(submission: Submission) -> Iterator[Finding]:
    """The rosette of three inks does not change over the board, nor with it the colour."""
    for facts in submission.rosettes:
        yield _finding(facts)


def _finding(facts: RosetteFacts) -> Finding:
    limit = limits.ROSETTE_DRIFT
    grade = _grade(facts)
    names = f"{facts.inks[0]}, {facts.inks[1]} and {facts.inks[2]}"
    says = (f"{_begun(facts)} ({facts.told}){_askew(facts)}; from one end of the change to the "
            f"other the colour moves by ΔE00 {facts.de00:.1f} in tints of {facts.tone * 100:.0f} "
            "%.")
    return Finding(
        check="Rosette of three inks", subject=names, grade=grade, says=says,
        measured=_figure(facts.de00), limit=limit.figure, source=limit.source,
        mend=_mend(facts) if grade is not Grade.CLEAR else "")


def _begun(facts: RosetteFacts) -> str:
    if math.isinf(facts.period_mm):
        return "As the angles are set it stands still"
    digits = 0 if facts.period_mm >= _DRIFTS_FROM_MM else 1
    return (f"As the angles are set it changes every {facts.period_mm:.{digits}f} mm across "
            f"{facts.direction_deg:.0f}°")


def _askew(facts: RosetteFacts) -> str:
    """What becomes of it when films lie askew; a short change hardly minds."""
    if facts.period_mm < _DRIFTS_FROM_MM:
        return ""
    return (f"; with films askew by the {facts.placement_deg:.3f}° of this job's placement it "
            f"changes every {facts.placed_mm:.0f} mm at worst, by {CAREFUL_DEG:g}° every "
            f"{facts.careful_mm:.0f} mm, by {BY_EYE_DEG:g}° every {facts.by_eye_mm:.0f} mm")


def _figure(de00: float) -> Figure:
    return Figure(value=de00, unit=limits.ROSETTE_DRIFT.unit)


def _grade(facts: RosetteFacts) -> Grade:
    """A care where the job's own placement lets it change on the board, or the eye sees bands.

    A note where films laid with care would do so. Changes as short as a few halftone periods are
    the rosette's own texture: there the eye's threshold decides alone.
    """
    slow = facts.period_mm >= _DRIFTS_FROM_MM and facts.de00 > limits.ROSETTE_DRIFT.value
    if facts.times_threshold >= PLAINLY_SEEN or (slow and facts.placed_mm < facts.length_mm):
        return Grade.CARE
    return Grade.NOTE if (slow and facts.careful_mm < 2 * facts.length_mm
                          ) or facts.times_threshold >= SEEN_WHEN_LOOKED_FOR else Grade.CLEAR


def _mend(facts: RosetteFacts) -> str:
    if facts.stands_within_deg <= 0:
        return ("Set these three inks 30° apart at one ruling, so that the rosette stands still, "
                "or give one of them stochastic dots.")
    end_mm = math.tan(math.radians(facts.stands_within_deg)) * facts.length_mm
    return (f"Lay films and screens by the marks at both ends, within {end_mm:.2f} mm over the "
            f"board's length ({facts.stands_within_deg:.3f}°): the rosette then keeps to half a "
            "change; or give one of the three stochastic dots.")
