"""Ink for the board and the run."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from preflight.press.mesh import Mesh
from separations.ink_need.ink_estimate import InkEstimate, deposit_um, estimate_ink, wet_height_um
from separations.ink_need.ink_table import inert, ink_csv

MESH = Mesh(threads_per_cm=120, thread_um=34, measured_volume_um=16)


def estimate(inked_mm2: float = 147_000, boards: int = 10) -> InkEstimate:
    return estimate_ink(ink="Black", inked_mm2=inked_mm2, printed_mm2=420_000,
                        ink_volume_um=MESH.ink_volume_um, deposit=deposit_um(MESH, 0.0),
                        density_g_per_ml=1.2, boards=boards)


def test_the_worked_board() -> None:
    """0.42 m² × 35 % × 16 cm³/m² at 70 % transfer is 1.65 ml and 1.98 g: worked by hand."""
    found = estimate()
    assert found.mean_tone == pytest.approx(0.35)
    assert found.board_ml.likely == pytest.approx(1.6464)
    assert found.board_g.likely == pytest.approx(1.97568)
    assert found.run_ml.likely == pytest.approx(16.464 * 1.075 + 150)


@given(st.floats(1, 1e6), st.integers(1, 1000), st.floats(0, 1))
def test_ranges_are_ordered_and_grow(area: float, boards: int, absorption: float) -> None:
    found = estimate(area, boards)
    for span in (found.board_ml, found.run_ml, found.board_g, found.run_g,
                 deposit_um(MESH, absorption)):
        assert 0 < span.low <= span.likely <= span.high
    assert estimate(area * 2, boards).board_ml.likely == pytest.approx(2 * found.board_ml.likely)
    assert estimate(area, boards + 1).run_ml.likely > found.run_ml.likely


@pytest.mark.parametrize(("mesh", "by_volume"), [
    (Mesh(threads_per_cm=77, thread_um=48), True), (Mesh(threads_per_cm=150, thread_um=31), False)])
def test_thirsty_wood_draws_more_ink_at_every_estimate_but_the_low_one(
        mesh: Mesh, by_volume: bool) -> None:
    """Absorption adds its share to the likely and the high figure; smooth stock is the low one.

    The high figure is that of the ink volume for the first cloth, of the wet height for the second.
    """
    dry, thirsty = deposit_um(mesh, 0.0), deposit_um(mesh, 0.25)
    assert (dry.high > wet_height_um(mesh)) == by_volume
    assert thirsty.low == dry.low
    assert thirsty.likely == pytest.approx(1.25 * dry.likely)
    assert thirsty.high == pytest.approx(1.25 * dry.high)


@pytest.mark.parametrize(("threads", "thread_um", "thickness_um", "height_um"), [
    (139, 34, 55, 0.285 * 55), (140, 34, 55, 0.35 * 55), (165, 31, 48, 0.35 * 48),
    (42, 80, 130, 1.82 * 80 * (1 - 0.0042 * 80) ** 2), (43, 80, 130, 0.285 * 130)])
def test_wet_height_changes_its_rule_with_the_cloth(
        threads: float, thread_um: float, thickness_um: float, height_um: float) -> None:
    mesh = Mesh(threads_per_cm=threads, thread_um=thread_um, measured_thickness_um=thickness_um)
    assert wet_height_um(mesh) == pytest.approx(height_um)


def test_the_shops_own_set_up_figure_wins() -> None:
    found = estimate_ink(ink="Black", inked_mm2=1.0, printed_mm2=2.0, ink_volume_um=16.0,
                         deposit=deposit_um(MESH, 0.0), density_g_per_ml=1.0, boards=1,
                         left_in_screen_ml=40)
    assert found.run_ml.likely == pytest.approx(40, abs=0.01)
    assert found.left_ml.likely == 40


def test_the_table_reads_back_and_holds_no_formula() -> None:
    text = ink_csv([replace(estimate(), ink="=1+1"), estimate()], [1, 2], 10)
    rows = list(csv.DictReader(io.StringIO(text)))
    assert rows[0]["ink"] == "'=1+1"
    assert float(rows[1]["one_board_g_likely"]) == pytest.approx(1.98, abs=0.01)
    assert float(rows[1]["run_ml_high"]) > float(rows[1]["run_ml_low"])
    assert inert("Black") == "Black"
