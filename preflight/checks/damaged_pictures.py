"""Whether pictures are as they were saved."""

from __future__ import annotations

from collections.abc import Iterator

from preflight.checks import limits
from preflight.facts.submission import Submission
from preflight.findings import Figure, Finding, Grade


def pictures_are_undamaged(submission: Submission) -> Iterator[Finding]:
    """Damage that the job accepts asks for care; damage that only the pixels show is a stop."""
    limit = limits.DAMAGE
    for damage in submission.damage:
        percent = 100 * (1.0 if damage.share is None else damage.share)
        how = "The file is damaged" if damage.is_told else "The pixels look damaged"
        yield Finding(
            id="picture-damage", check="Damage of the picture", subjects=(damage.file,),
            grade=Grade.CARE if damage.is_accepted else Grade.STOP,
            says=f"{how}: {damage.says}. It may affect {damage.share_told}.",
            measured=Figure(value=percent, unit=limit.unit), limit=limit.figure,
            source=limit.source, place=damage.place,
            mend="Use the picture as it was first saved. If what is printed here is wanted, set "
                 "accept_damage = true for this artwork." if not damage.is_accepted else
                 "Look at its picture in the report; use the picture as it was first saved if "
                 "there is one.")
