"""All inks together, and whole tins."""

from __future__ import annotations

import pytest

from preflight.press.mesh import Mesh
from separations.ink_need.ink_estimate import InkEstimate, deposit_um, estimate_ink
from separations.ink_need.ink_table import TIN_G, ink_total, tins_for


def need(ink: str, boards: int, density: float) -> InkEstimate:
    mesh = Mesh(threads_per_cm=120, thread_um=34)
    return estimate_ink(ink=ink, inked_mm2=150_000, printed_mm2=450_000,
                        ink_volume_um=mesh.ink_volume_um, deposit=deposit_um(mesh, 0.15),
                        density_g_per_ml=density, boards=boards)


def test_the_total_is_the_sum_of_each_figure() -> None:
    one, other = need("A", 10, 1.2), need("B", 10, 1.3)
    total = ink_total([one, other])
    for span, first, second in ((total.board_ml, one.board_ml, other.board_ml),
                                (total.board_g, one.board_g, other.board_g),
                                (total.run_ml, one.run_ml, other.run_ml),
                                (total.run_g, one.run_g, other.run_g),
                                (total.left_ml, one.left_ml, other.left_ml)):
        for key in ("low", "likely", "high"):
            assert getattr(span, key) == pytest.approx(getattr(first, key) + getattr(second, key))
    assert total.tins == tins_for(one) + tins_for(other)


@pytest.mark.parametrize("boards", [1, 50, 400, 5000])
def test_the_tins_just_hold_the_high_figure(boards: int) -> None:
    estimate = need("A", boards, 1.2)
    tins = tins_for(estimate)
    assert tins * TIN_G >= estimate.run_g.high
    assert tins == 1 or (tins - 1) * TIN_G < estimate.run_g.high
