"""Growth of film and stretch of mesh against published coefficients and hand-worked numbers.

Kodak graphics, "Film Tips": polyester base 0.0008 % per % RH (500 mm: 4 µm), about double with
gelatin layers (500 mm: 8 µm; ±5 % RH: ±40 µm). Polyester, thermal: 1.7e-5 per °C (a data summary).
Off-contact: 2 √((L/2)² + h²) − L, by hand for L = 2000 mm: 2, 4, 6 mm give 4, 16, 36 µm.
"""

from __future__ import annotations

import pytest

from preflight.facts.register_budget import (
    FILM_PER_DEGC,
    FILM_PER_PERCENT_RH,
    mesh_stretch_mm,
    off_contact_shift_mm,
    register_budget,
)
from preflight.findings import Place
from preflight.job_file.job_tables import RegisterTable
from preflight.units import Length, Share, TemperatureSwing

END = Place(least_x_mm=760, least_y_mm=-150, greatest_x_mm=800, greatest_y_mm=150)


def test_film_growth_as_published() -> None:
    assert pytest.approx(0.008) == FILM_PER_PERCENT_RH * 500
    assert pytest.approx(0.040) == FILM_PER_PERCENT_RH * 500 * 5
    assert pytest.approx(0.272) == FILM_PER_DEGC * 1600 * 10
    assert pytest.approx(0.128) == FILM_PER_PERCENT_RH * 1600 * 5


@pytest.mark.parametrize(("gap_mm", "um"), [(2, 4), (4, 16), (6, 36)])
def test_mesh_stretch_by_hand(gap_mm: float, um: float) -> None:
    assert mesh_stretch_mm(2000, gap_mm) * 1000 == pytest.approx(um, rel=0.001)


def test_off_contact_moves_the_ends_outwards_and_the_middle_nowhere() -> None:
    assert off_contact_shift_mm(2000, 3, 1000) == pytest.approx(0, abs=1e-9)
    # By hand, h² / 2 (1 / a − 1 / b) · a b / L: near 200.0225, far 1800.0025, so 0.0200 mm.
    assert off_contact_shift_mm(2000, 3, 200) == pytest.approx(0.0200, abs=0.0001)
    assert off_contact_shift_mm(2000, 6, 200) == pytest.approx(0.0800, abs=0.0003)


def test_the_budget_of_a_long_board_by_hand() -> None:
    table = RegisterTable(
        temperature_swing=TemperatureSwing(3, "3 °C"), humidity_swing=Share(0.1, "10 %"),
        placement=Length(0.15, "0.15 mm"),
        off_contact_swing=Length(0, "0 mm"))
    budget = register_budget(table, off_contact_mm=3, reach_mm=800, image_mm=1600,
                             span_mm=2000, worst_place=END)
    errors = {part.name: part.error_mm for part in budget.parts}
    # 17e-6 · 3 · 800; 16e-6 · 10 · 800; 10e-6 · 10 · 800 (from memory); as laid.
    assert errors == pytest.approx({
        "temperature of the films": 0.0408, "humidity of the films": 0.128,
        "humidity of the board's face": 0.08, "stretch of the mesh": 0.0,
        "placement on the table": 0.15})
    assert budget.worst_mm == pytest.approx(0.3988)
    # √(0.0408² + 0.128² + 0.08² + 0.15²) = √0.0469486
    assert budget.likely_mm == pytest.approx(0.2167, abs=0.0001)
    assert budget.greatest.name == "placement on the table"
