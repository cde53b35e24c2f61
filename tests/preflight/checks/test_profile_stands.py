"""What job and press profile both tell: alike, just off, absurd."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from preflight.checks.profile_stands import job_agrees_with_profile
from preflight.facts.profile_facts import ProfileDifference
from preflight.facts.submission import Submission
from preflight.findings import Grade
from tests.prepared_jobs import laid_out


@pytest.mark.parametrize(("key", "says"), [
    ("over_white of Cyan", "take the over_white of Cyan out of the job"),
    ("", "nothing needs to be done")])
@pytest.mark.parametrize(("de00", "grade"), [
    (0.0, Grade.CLEAR), (1.0, Grade.CLEAR), (1.01, Grade.NOTE), (40.0, Grade.NOTE)])
def test_limits(small_job: Callable[..., Path], de00: float, grade: Grade, key: str,
                says: str) -> None:
    laid = laid_out(small_job())
    one, = job_agrees_with_profile(Submission(
        job=laid.job, outline=laid.outline, area=laid.area, art=laid.art, film_length_mm=360,
        film_width_mm=140, tones=None, profile_differences=(ProfileDifference(
            what="solid", ink="Cyan", in_job="L* 50", in_profile="L* 42", key=key, de00=de00),)))
    assert one.grade is grade
    assert one.subjects == ("Cyan",)
    assert one.says == (f"For the solid of Cyan the job has L* 50, the press profile L* 42: "
                        f"ΔE00 {de00:.1f} apart. The press profile's is used.")
    assert (says in one.mend) == (grade is Grade.NOTE)
    assert bool(one.mend) == (grade is Grade.NOTE)
