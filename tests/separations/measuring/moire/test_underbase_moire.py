"""Moiré of an underbase's halftone with the inks above it."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import pytest

from preflight.checks.moire import underbase_does_not_beat
from preflight.facts.submission import Submission
from preflight.findings import Grade
from separations.colour.job_inks import photo_model
from separations.measuring.moire.job_moire import tint_inks
from separations.measuring.moire.underbase_moire import underbase_moire
from separations.runtime.by_value import called
from tests.prepared_jobs import laid_out

Write = Callable[..., Path]
WHITE = """[[ink]]
name = "White"
over_white = [95, 0, 2]
over_black = [85, 0, 1]
prints = "underbase"
angle = {angle}
heat_limit = "140 °C"
[[ink]]
name = "Yellow\""""


@pytest.mark.parametrize(("angle", "grade"), [(52.5, Grade.CLEAR), (50.0, Grade.NOTE),
                                              (37.5, Grade.CARE)])
def test_an_underbase_near_an_inks_angle_beats_with_it(small_job: Write, angle: float,
                                                       grade: Grade) -> None:
    laid = laid_out(small_job(
        ('[[ink]]\nname = "Yellow"', WHITE.format(angle=angle)), ('"600 dpi"', '"1440 dpi"')))
    above = [ink for _, ink in tint_inks(laid.job, photo_model(laid.job))]
    facts = underbase_moire(laid.job, above, called)
    assert facts[0].partner == "mesh"
    assert [" on ".join(f.inks) for f in facts[1:]] == [
        f"{name} on White" for name in ("Yellow", "Magenta", "Cyan", "Black")]
    findings = list(underbase_does_not_beat(Submission(
        job=laid.job, outline=laid.outline, area=laid.area, art=laid.art, film_length_mm=0,
        film_width_mm=0, tones=None, moire=facts)))
    black = next(f for f in findings if "Black" in f.subjects)
    assert black.grade is grade
    if grade is not Grade.CLEAR:  # the chord of two equal halftones, p / (2 sin(a / 2))
        seen = next(f for f in facts if f.inks == ("Black", "White"))
        chord_mm = 25.4 / 45 / (2 * math.sin(math.radians(52.5 - angle) / 2))
        assert seen.period_mm == pytest.approx(chord_mm, rel=0.03)
        assert "White at" in black.mend


def test_no_underbase_no_facts(small_job: Write) -> None:
    assert underbase_moire(laid_out(small_job()).job, (), called) == ()
