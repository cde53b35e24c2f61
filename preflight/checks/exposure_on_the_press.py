"""How far the stencils of the press's test sheet had been exposed, by the scale printed on it."""

from __future__ import annotations

from collections.abc import Iterator

from preflight.basis import Basis, Source
from preflight.facts.submission import Submission
from preflight.findings import Figure, Finding, Grade, at_least
from preflight.press.stencil_exposure import EXPOSURE_SOURCE, WANTED_STEP

#: The scale goes by film pixels, which a printer may draw too dark. Own rule.
_SOURCE = Source(basis=Basis.PUBLISHED, told=EXPOSURE_SOURCE).beside(
    Source(basis=Basis.OWN, told="the test sheet's scale stands for it by film pixels"))


def stencils_were_exposed_enough(submission: Submission) -> Iterator[Finding]:
    """The last step that each stencil of the test sheet held; too little is a note."""
    for ink in submission.profile_inks:
        step = ink.seen.exposure_step
        if step is None:
            continue
        short = step < WANTED_STEP
        yield Finding(
            id="exposure-printed", check="Exposure as printed", subjects=(ink.name,),
            grade=Grade.NOTE if short else Grade.CLEAR,
            says=f"On the press's test sheet the stencil held step {step} of the exposure scale "
                 "(read from a scan); tone curves and smallest dots hold for stencils exposed "
                 "alike.",
            measured=Figure(value=step, unit="steps"),
            limit=at_least(WANTED_STEP, "steps"), source=_SOURCE,
            mend="Lay a 21-step scale on the next stencil; where it tells the same, find the time "
                 "with 'topsheet exposure', print the test sheet again and calibrate."
            if short else "")
