"""What pictures of the press's test sheet told, against what this job asks of the press."""

from __future__ import annotations

import math
from collections.abc import Iterator

from preflight.basis import Basis, Source
from preflight.checks import limits
from preflight.checks.register_and_profile import Trap, most_apart, traps_of, up_to_hundredths
from preflight.facts.submission import Submission
from preflight.findings import Figure, Finding, Grade

_SEEN = Source(basis=Basis.MEASURED, told="the press profile, read from a scan")


def printed_register_is_within_the_traps(submission: Submission) -> Iterator[Finding]:
    """How far inks lay apart on the test sheet, against what hides it in this job."""
    apart, within, inks = most_apart(submission)
    if not inks:
        return
    long = limits.REGISTER_LONG
    traps = traps_of(submission)
    trap = min(traps, key=lambda one: one.hidden_mm) if traps else Trap(
        "register", "what the trade keeps on long veneer", "", long.value, ())
    grade = (Grade.CARE if apart - within > trap.hidden_mm else
             Grade.NOTE if apart + within > trap.hidden_mm else Grade.CLEAR)
    set_to = up_to_hundredths(apart + within)
    yield Finding(
        id="register-printed", check="Register as printed", subjects=inks, grade=grade,
        says=f"On the press's test sheet {inks[0]} and {inks[1]} lay {apart:.2f} mm apart "
             f"(±{within:.2f} mm nine times in ten, read from a scan){_turned(submission)}; "
             f"{trap.what} is {trap.hidden_mm:.2f} mm.",
        measured=Figure(value=round(apart, 3), unit="mm"),
        limit=Figure(value=trap.hidden_mm, unit="mm"),
        source=(limits.REGISTER_SHARE if traps else long).source.beside(_SEEN),
        mend="" if grade is Grade.CLEAR else
        (f"Set the {trap.key} to {set_to:.2f} mm or more; or lay" if trap.key else "Lay")
        + " screens and boards against stops, print the test sheet again and calibrate.")


def _turned(submission: Submission) -> str:
    """What turned inks do over the image's half length, where a turn shows; else nothing."""
    turned = [(abs(seen.turn_deg), ink.name) for ink in submission.profile_inks
              if (seen := ink.seen.register) and seen.turn_shows]
    if not turned:
        return ""
    most, name = max(turned)
    least_x, _, greatest_x, _ = submission.area.image_bounds
    reach = (greatest_x - least_x) / 2
    return (f", and {name} was turned by {most:.3f}°, which over {reach:.0f} mm is "
            f"{reach * math.radians(most):.2f} mm")
