"""Sizes of round dots, by the area of a disc in its cell."""

from __future__ import annotations

import math

import pytest

from preflight.press.halftone_spec import dot_diameter_um, tone_of_dot


@pytest.mark.parametrize(("diameter_um", "ruling_lpcm", "side_um"), [
    (100.0, 20.0, 500.0), (50.0, 40.0, 250.0), (254.0, 100 / 2.54, 254.0)])
def test_a_dot_is_as_wide_as_the_disc_of_its_area(diameter_um: float, ruling_lpcm: float,
                                                  side_um: float) -> None:
    tone = math.pi * (diameter_um / 2) ** 2 / side_um**2
    assert dot_diameter_um(tone, ruling_lpcm) == pytest.approx(diameter_um)
    assert tone_of_dot(diameter_um, ruling_lpcm) == pytest.approx(tone)
