"""Does the job tell something else than its press profile measured?"""

from __future__ import annotations

from collections.abc import Iterator

from preflight.checks import limits
from preflight.facts.submission import Submission
from preflight.findings import Figure, Finding, Grade


def job_agrees_with_profile(submission: Submission) -> Iterator[Finding]:
    """Wood, solids and tone curves that job and press profile both tell: the profile's stand."""
    limit = limits.PROFILE_DIFFERS
    for one in submission.profile_differences:
        off = one.de00 > limit.value
        whose = f"{one.what} of {one.ink}" if one.ink else "bare wood"
        same = f"take the {one.key} out of the job" if one.key else "nothing needs to be done"
        yield Finding(
            id="profile-stands", check="Job against the press profile",
            subjects=(one.ink,) if one.ink else (), subject=whose,
            grade=Grade.NOTE if off else Grade.CLEAR,
            says=f"For the {whose} the job has {one.in_job}, the press profile {one.in_profile}: "
                 f"ΔE00 {one.de00:.1f} apart. The press profile's is used.",
            measured=Figure(value=one.de00, unit="ΔE00"), limit=limit.figure, source=limit.source,
            mend=f"If this is the wood and ink that the profile was measured with, {same}; if not, "
                 "print the wedge of this job and calibrate again."
            if off else "")


def varnish_was_read(submission: Submission) -> Iterator[Finding]:
    """Whether the press profile was read through the varnish that the job prints under."""
    facts, limit = submission.varnish, limits.PROFILE_DIFFERS
    if facts is None:
        return
    off = facts.greatest_de00 > limit.value
    read, printed = (_coat(one) for one in (facts.read_under, facts.printed_under))
    yield Finding(
        id="varnish-read", check="Varnish of the press profile",
        grade=Grade.CARE if off else Grade.CLEAR,
        says=f"The press profile was read {read}, the job prints {printed}: by the model this "
             f"changes bare wood by ΔE00 {facts.wood_de00:.1f}, and solids and overprints by up to "
             f"{facts.greatest_de00:.1f}." if facts.read_under != facts.printed_under else
        f"The press profile was read {read}, as the job prints.",
        measured=Figure(value=facts.greatest_de00, unit="ΔE00"), limit=limit.figure,
        source=limit.source,
        mend=_to_read(facts.printed_under) if off else "")


def _coat(varnish: str) -> str:
    return "without varnish" if varnish == "none" else f"under {varnish} varnish"


def _to_read(varnish: str) -> str:
    if varnish == "none":
        return ("Read the wedge of a print without varnish and calibrate again, or set the varnish "
                "in [finish].")
    return (f"Varnish a print of the wedge ({varnish}), read it when it is cured, and calibrate "
            "again with --varnished. Until then the proof is a model of the varnish.")
