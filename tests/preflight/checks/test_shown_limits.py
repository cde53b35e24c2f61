"""The figure and the limit that a finding shows agree with its grade, and read as English."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from preflight.checks.catalogue import run_checks
from preflight.facts.submission import Submission
from preflight.findings import Figure, Finding, Grade, at_least
from tests.prepared_jobs import laid_out

Write = Callable[..., Path]


def findings_of(path: Path) -> dict[tuple[str, str], Finding]:
    laid = laid_out(path)
    made = Submission(job=laid.job, outline=laid.outline, area=laid.area, art=laid.art,
                      film_length_mm=360, film_width_mm=140, tones=None)
    return {key: f for f in run_checks(made) for key in f.keys}


def keeps(finding: Finding) -> bool:
    value, limit = finding.measured.value, finding.limit.value
    if finding.limit.bound:
        slack = 0.5 if finding.id.startswith("angle") else 0.05  # as the checks allow
        return value >= limit - slack
    return value <= limit


def test_a_least_limit_says_so() -> None:
    assert str(at_least(1.05, "px per line")) == "at least 1.05 px per line"
    assert str(Figure(value=1.05, unit="mm")) == "1.05 mm"


@pytest.mark.parametrize("changes", [
    (),
    (("angle = 22.5", "angle = 45"), ('"45 lpi"', '"85 lpi"'), ("140 °C", "94 °C")),
    (('"45 lpi"', '"55 lpi"'), ('heat_limit = "140 °C"', ""), ('"60 cm"', '"50.9 cm"')),
    (('"120/cm"', '"40/cm"'), ('"45 lpi"', '"45 lpi"\nsmallest_tone = "0.4 %"')),
    (("[frame]", '[register]\nplacement = "0.24 mm"\n[frame]'),
     ('"40 cm"', '"40 cm"\noff_contact = "1.5 mm"')),
    (("[frame]", '[register]\nplacement = "0.5 mm"\n[frame]'),
     ('"40 cm"', '"40 cm"\nsqueegee = "6 cm"')),
    (('"600 dpi"', '"600 dpi"\nreading = "mirrored"\nwidth = "5 cm"'),),
])
def test_a_figure_breaks_the_limit_beside_it_where_the_check_is_not_in_order(
    small_job: Write, changes: tuple[tuple[str, str], ...]
) -> None:
    found = findings_of(small_job(*changes))
    assert found
    for finding in found.values():
        assert keeps(finding) is (finding.grade is Grade.CLEAR), finding


def test_counts_of_one_or_none_read_as_english(small_job: Write) -> None:
    found = findings_of(small_job(('heat_limit = "140 °C"', "")))
    heat, profile = found["heat-unknown", "Cyan"], found["colour-profile", "photo.png"]
    assert (str(heat.measured), str(heat.limit)) == (
        "4 inks without a heat limit", "0 inks without a heat limit")
    assert (str(profile.measured), str(profile.limit)) == (
        "0 usable profiles", "at least 1 usable profile")


@pytest.mark.parametrize(("placement", "grade", "unit"), [
    ("0.24 mm", Grade.NOTE, "mm at worst"), ("0.5 mm", Grade.CARE, "mm likely")])
def test_the_register_shows_the_figure_that_breaks_its_limit(
    small_job: Write, placement: str, grade: Grade, unit: str
) -> None:
    found = findings_of(small_job(("[frame]", f'[register]\nplacement = "{placement}"\n[frame]')))
    finding = next(f for (check, _), f in found.items() if check.startswith("register"))
    assert (finding.grade, finding.measured.unit) == (grade, unit)
    assert finding.measured.value > finding.limit.value
