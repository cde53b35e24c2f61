"""All mends of a submission, in the order in which one bears on the next."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from preflight.facts.submission import Submission
from preflight.mends.angle_mends import angle_mends
from preflight.mends.mend import NOTHING, Mend, Shunned, job_with
from preflight.mends.tone_and_edge_mends import (
    bleed_mends,
    choke_mends,
    ruling_mends,
    tone_end_mends,
)
from preflight.units import Angle, length, ruling, share

Propose = Callable[[Submission], Iterable[Mend]]
Search = Callable[[Submission, Shunned], Iterable[Mend]]

#: A new kind of mend is a function in the fitting module and its name here. Angles are sought for
#: the mended ruling, tone ends are reckoned with it.
_SEARCHES: tuple[Search, ...] = (ruling_mends, angle_mends)
_REMEDIES: tuple[Propose, ...] = (tone_end_mends, choke_mends, bleed_mends)
_READ: dict[str, Callable[[object], object]] = {
    "ruling": ruling, "smallest_tone": share, "largest_tone": share, "choke": length,
    "angle": lambda deg: Angle(float(str(deg)), f"{deg}°"), "fill_edges": bool}


def proposed_mends(submission: Submission, shunned: Shunned = NOTHING) -> tuple[Mend, ...]:
    """Every mend that is safe to make by machine; each sees the job with those before it made.

    Parameters
    ----------
    submission : Submission
        The job and what its checks see.
    shunned : Shunned
        Angles and rulings not to propose, since they raised another care when tried.
    """
    mends: list[Mend] = []
    for propose in (*(_heeding(search, shunned) for search in _SEARCHES), *_REMEDIES):
        found = tuple(propose(submission))
        for mend in found:
            value = _READ[str(mend.key_path[-1])](mend.after)
            submission = replace(submission, job=job_with(submission.job, mend.key_path, value))
        mends.extend(found)
    return tuple(mends)


def _heeding(search: Search, shunned: Shunned) -> Propose:
    return lambda submission: search(submission, shunned)
