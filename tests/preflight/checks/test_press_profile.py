"""A press profile is held against the mesh and ruling of the job: fits, just off, absurd, mute."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from preflight.checks.register_and_profile import profile_fits_mesh_and_ruling
from preflight.facts.submission import ProfiledInk, Submission
from preflight.findings import Finding, Grade
from tests.prepared_jobs import laid_out

Write = Callable[..., Path]
#: As the small job prints: 120/cm, 34 µm, 45 lpi.
CYAN = ProfiledInk(name="Cyan", threads_per_cm=120.0, thread_um=34.0, ruling_lpcm=17.717)


def found(path: Path, *inks: ProfiledInk) -> list[Finding]:
    laid = laid_out(path)
    return list(profile_fits_mesh_and_ruling(Submission(
        job=laid.job, outline=laid.outline, area=laid.area, art=laid.art, film_length_mm=360,
        film_width_mm=140, tones=None, profile_inks=inks)))


@pytest.mark.parametrize(("change", "grade"), [
    ({}, Grade.CLEAR),
    ({"threads_per_cm": 117.7}, Grade.CLEAR), ({"threads_per_cm": 117.6}, Grade.CARE),
    ({"threads_per_cm": 12.0}, Grade.CARE),
    ({"ruling_lpcm": 17.4}, Grade.CLEAR), ({"ruling_lpcm": 17.3}, Grade.CARE),
    ({"ruling_lpcm": 80.0}, Grade.CARE),
    ({"thread_um": 35.0}, Grade.CLEAR), ({"thread_um": 30.5}, Grade.CARE),
    ({"ruling_lpcm": None}, Grade.NOTE), ({"threads_per_cm": None}, Grade.NOTE),
])
def test_limits(small_job: Write, change: dict[str, float | None], grade: Grade) -> None:
    one, = found(small_job(), replace(CYAN, **change))  # type: ignore[arg-type]
    assert one.grade is grade
    assert bool(one.mend) == (grade is not Grade.CLEAR)


def test_a_care_names_both_figures_and_all_inks_that_share_it(small_job: Write) -> None:
    path = small_job(('count = "120/cm"\nthread = "34 um"', 'count = "100/cm"\nthread = "40 um"'),
                     ('"45 lpi"', '"14 l/cm"'))
    then = replace(CYAN, ruling_lpcm=18.0)
    one, = found(path, then, replace(then, name="Black"))
    assert one.grade is Grade.CARE
    assert one.subjects == ("Cyan", "Black")
    for told in ("120/cm, not 100/cm", "34 µm, not 40 µm", "18 l/cm, not 14 l/cm"):
        assert told in one.says


def test_no_profile_no_word_and_no_ruling_where_none_counts(small_job: Write) -> None:
    assert not found(small_job())
    path = small_job(("angle = 22.5", 'angle = 22.5\ndot_shape = "stochastic"'))
    one, = found(path, replace(CYAN, ruling_lpcm=99.0))
    assert one.grade is Grade.CLEAR
