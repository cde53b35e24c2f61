"""Insert positions against numbers worked by hand."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.board.fittings import insert_packs


def test_four_by_four_at_540_and_20_back() -> None:
    front, rear = insert_packs("4x4", stance_mm=540, set_back_mm=20)
    # Stance 540: middles at +270 and -270; 20 mm back: +250 and -290.
    assert front.centre_mm.tolist() == [250, 0]
    assert rear.centre_mm.tolist() == [-290, 0]
    assert front.holes_mm.tolist() == [[210, 20], [250, 20], [290, 20],
                                       [210, -20], [250, -20], [290, -20]]
    assert rear.holes_mm[:3, 0].tolist() == [-330, -290, -250]


def test_four_by_two_at_500_on_the_middle() -> None:
    front, rear = insert_packs("4x2", stance_mm=500, set_back_mm=0)
    assert front.holes_mm[:6, 0].tolist() == [200, 220, 240, 260, 280, 300]
    assert rear.holes_mm[6:, 0].tolist() == [-300, -280, -260, -240, -220, -200]
    assert set(front.holes_mm[:, 1].tolist()) == {20.0, -20.0}


@pytest.mark.parametrize("rows", [2, 5])
def test_a_four_by_two_row_contains_the_four_by_four_grid(rows: int) -> None:
    wide = insert_packs("4x4", stance_mm=500, set_back_mm=-7, holes_in_row=rows)[0]
    fine = insert_packs("4x2", stance_mm=500, set_back_mm=-7, holes_in_row=2 * rows - 1)[0]
    assert np.isin(wide.holes_mm[:, 0], fine.holes_mm[:, 0]).all()
    assert wide.centre_mm[0] == 257
