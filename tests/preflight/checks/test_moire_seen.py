"""Moiré checks: a case in order, one that just fails, one absurd."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from preflight.checks.catalogue import run_checks
from preflight.facts.moire_facts import ClearSetting, MoireFacts, Partner
from preflight.facts.submission import Submission
from preflight.findings import Finding, Grade, Place
from tests.prepared_jobs import laid_out

Write = Callable[..., Path]
PLACE = Place(least_x_mm=0, least_y_mm=0, greatest_x_mm=16, greatest_y_mm=16)


def _submission(path: Path, *facts: MoireFacts) -> Submission:
    laid = laid_out(path)
    return Submission(job=laid.job, outline=laid.outline, area=laid.area, art=laid.art,
                      film_length_mm=360, film_width_mm=140, tones=None, moire=facts)


def _facts(partner: Partner, times: float, *, mends: tuple[ClearSetting, ...] = (),
           place: Place | None = None) -> MoireFacts:
    return MoireFacts(partner=partner, inks=("Black",), period_mm=2.3, direction_deg=130.0,
                      contrast=times / 600, times_threshold=times, tone=0.5, mends=mends,
                      place=place, tones_seen=(0.3, 0.5) if times >= 20 else ())


def _found(path: Path, facts: MoireFacts, check: str) -> Finding:
    return next(f for f in run_checks(_submission(path, facts)) if f.id == check)


@pytest.mark.parametrize(("partner", "check"), [
    ("mesh", "mesh-moire"), ("ink", "ink-moire"),
    ("photograph", "photo-moire")])
@pytest.mark.parametrize(("times", "grade"), [
    (0.0, Grade.CLEAR), (19.9, Grade.CLEAR), (20.0, Grade.NOTE), (39.9, Grade.NOTE),
    (40.0, Grade.CARE), (5000.0, Grade.CARE)])
def test_limits(small_job: Write, partner: Partner, check: str, times: float,
                grade: Grade) -> None:
    finding = _found(small_job(), _facts(partner, times, place=PLACE), check)
    assert finding.grade is grade
    assert finding.says.endswith(".")
    assert finding.place == PLACE
    assert bool(finding.mend) == (grade is not Grade.CLEAR)


def test_confirmed_settings_are_told(small_job: Write) -> None:
    facts = _facts("mesh", 60.0, mends=(
        ClearSetting(ink="Black", what="ruling", value=44),
        ClearSetting(ink="Black", what="mesh angle", value=5)))
    finding = _found(small_job(), facts, "mesh-moire")
    assert finding.mend == ("Clear in simulation: a ruling of 44 lpi for Black or the mesh of "
                            "Black turned to 5°.")
    assert "bands 2.3 mm apart, at 40° to the board's length" in finding.says  # 130° is across them
    assert "in flat tints of 30 and 50 %" in finding.says


def test_an_angle_that_needs_care_comes_before_the_moire_it_makes(small_job: Write) -> None:
    """Two ways out at once, of which one undoes the other, would help nobody."""
    facts = _facts("mesh", 60.0, mends=(ClearSetting(ink="Black", what="angle", value=45),))
    askew = small_job(("angle = 52.5", "angle = 45"))
    finding = _found(askew, facts, "mesh-moire")
    assert finding.mend == ("Mend the angle of Black first, as the checks of angles say; then "
                            "check again.")
    assert _found(askew, facts, "angle-to-mesh").grade is Grade.CARE


def test_a_simulation_stands_in_place_of_the_order(small_job: Write) -> None:
    checks = {key for f in run_checks(_submission(small_job(), _facts("mesh", 5.0)))
              for key in f.keys}
    assert ("mesh-moire-by-angles", "Black") not in checks
    assert ("mesh-moire-by-angles", "Cyan") in checks


@pytest.mark.parametrize(("dot_um", "grade"), [
    (126, Grade.CLEAR), (124, Grade.CARE), (41, Grade.CARE)])
def test_scattered_dots_against_the_threads(small_job: Write, dot_um: int, grade: Grade) -> None:
    path = small_job(('ruling = "45 lpi"', 'ruling = "45 lpi"\ndot_shape = "stochastic"\n'
                      f'stochastic_dot = "{dot_um} um"'), ('"600 dpi"', '"2400 dpi"'))
    finding = next(f for f in run_checks(_submission(path))
                   if f.id == "stochastic-dots")
    assert finding.grade is grade
