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
            id="profile-stands", check="Job and press profile agree",
            subjects=(one.ink,) if one.ink else (), subject=whose,
            grade=Grade.NOTE if off else Grade.CLEAR,
            says=f"For the {whose} the job has {one.in_job}, the press profile {one.in_profile}: "
                 f"{one.de00:.1f} ΔE00 between them. The press profile's is used.",
            measured=Figure(value=one.de00, unit="ΔE00"), limit=limit.figure, source=limit.source,
            mend=f"If this is the wood and ink that the profile was measured with, {same}; if not, "
                 "print the wedge of this job and calibrate again."
            if off else "")
