"""All mends of a submission, in the order in which one bears on the next."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from preflight.facts.submission import Submission
from preflight.mends.angle_mends import angle_mends
from preflight.mends.halftone_mends import (
    printed_end_mends,
    small_dot_mends,
    stochastic_dot_mends,
    tone_end_mends,
    tone_sum_mends,
)
from preflight.mends.mend import NOTHING, Mend, Shunned, job_mended
from preflight.mends.moire_mends import moire_mends
from preflight.mends.note_mends import note_mends
from preflight.mends.placement_mends import placement_mends
from preflight.mends.press_mends import (
    choke_mends,
    off_contact_mends,
    panel_mends,
    register_mends,
    stroke_mends,
)
from preflight.mends.raised_cares import changed_by
from preflight.mends.ruling_mends import ruling_mends

Propose = Callable[[Submission], Iterable[Mend]]
Search = Callable[[Submission, Shunned], Iterable[Mend]]

#: A new kind of mend is a function in the fitting module and its name here. Angles are sought for
#: the mended ruling, tone ends are reckoned with it.
SEARCHES: tuple[Search, ...] = (ruling_mends, angle_mends, moire_mends)
REMEDIES: tuple[Propose, ...] = (
    tone_end_mends, printed_end_mends, small_dot_mends, stochastic_dot_mends, tone_sum_mends,
    off_contact_mends, stroke_mends, choke_mends, register_mends, panel_mends, placement_mends,
    note_mends)


def proposed_mends(submission: Submission, shunned: Shunned = NOTHING) -> tuple[Mend, ...]:
    """Every mend that is safe to make by machine; each sees the job with those before it made.

    Parameters
    ----------
    submission : Submission
        The job and what its checks see; what waits for slow facts is proposed where they are.
    shunned : Shunned
        Values not to propose, since they raised another care when tried.
    """
    mends: dict[tuple[str | int, ...], Mend] = {}
    for propose in (*(_heeding(search, shunned) for search in SEARCHES), *REMEDIES):
        for mend in tuple(propose(submission)):
            first = mends.get(mend.key_path)
            mends[mend.key_path] = mend if first is None else replace(mend, before=first.before)
            turned = changed_by(submission.job, mend)
            submission = replace(  # what was simulated of the inks as they were holds no more
                submission, job=job_mended(submission.job, mend), moire=tuple(
                    facts for facts in submission.moire if turned.isdisjoint(facts.inks)))
    return tuple(mends.values())


def _heeding(search: Search, shunned: Shunned) -> Propose:
    return lambda submission: search(submission, shunned)
