"""Quantities as people write them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from preflight import units


@pytest.mark.parametrize(("text", "mm"), [
    ("8 mm", 8), ("158 cm", 1580), ("6 in", 152.4), ('6"', 152.4), ("1.6m", 1600),
    ("34 um", 0.034), ("34 µm", 0.034), ("72 pt", 25.4), ("1,5 cm", 15), ("-3 mm", -3),
    (" 8  mm ", 8),
])
def test_lengths(text: str, mm: float) -> None:
    assert units.length(text).mm == pytest.approx(mm, rel=1e-12)


@pytest.mark.parametrize("text", ["8", "", "mm", "8 parsec", "nan mm", "1e5 mm", 8, None, True,
                                  "8 mm 3", "∞ mm", "8" * 100 + " mm"])
def test_what_is_no_length(text: object) -> None:
    with pytest.raises(units.UnitFault, match="a length with its unit"):
        units.length(text)


def test_rulings_and_mesh_counts_per_inch_and_cm() -> None:
    assert units.ruling("45 lpi").lpcm == pytest.approx(45 / 2.54)
    assert units.ruling("18 l/cm").lpi == pytest.approx(18 * 2.54)
    assert units.ruling("18 l/cm").period_mm == pytest.approx(10 / 18)
    assert units.mesh_count("305/in").threads_per_cm == pytest.approx(305 / 2.54)
    assert units.mesh_count("120/cm").threads_per_cm == 120


def test_the_words_are_kept() -> None:
    assert units.ruling("45  lpi").written == "45 lpi"
    assert units.angle(22.5).written == "22.5°"


def test_the_rest() -> None:
    assert units.resolution("1440 dpi").pixel_mm == pytest.approx(25.4 / 1440)
    assert units.share("3 %").fraction == pytest.approx(0.03)
    assert units.angle("22.5 deg").deg == 22.5
    assert units.temperature("185 °F").celsius == pytest.approx(85)
    assert units.temperature("85 °C").celsius == 85
    with pytest.raises(units.UnitFault):
        units.temperature("85 K")
    with pytest.raises(units.UnitFault):
        units.angle(float("nan"))


@given(st.floats(0.001, 9999).map(lambda v: round(v, 3)))
def test_inch_and_mm_agree(value: float) -> None:
    assert units.length(f"{value:.3f} in").mm == pytest.approx(
        25.4 * units.length(f"{value:.3f} mm").mm)


@pytest.mark.parametrize("typed", ["34 um", "34um", "34 μm", "34 µm"])
def test_a_typed_micron_is_shown_as_one(typed: str) -> None:
    assert units.length(typed).written == "34 µm"
