"""Where a piece of a gang lies, and whence its dots are screened."""

from __future__ import annotations

from typing import cast

import pytest

from preflight.units import Angle
from separations.films.film_sheet import film_sheet
from separations.pipeline.prepared_job import PreparedJob
from separations.uses.gang.gang_layout import PiecePlace
from separations.uses.gang.gang_sheet import PieceTable
from separations.uses.gang.placed_pieces import PlacedPiece


@pytest.mark.parametrize(("turn", "expected_mm"), [(0.0, (100.0, 30.0)), (180.0, (160.0, 40.0))])
def test_a_turned_pieces_origin_turns_with_it(turn: float,
                                              expected_mm: tuple[float, float]) -> None:
    """160 mm of the board lie behind its origin and 100 before it, 30 mm left of it and 40 right.

    Turned by 180° what was behind it lies before it.
    """
    sheet = film_sheet((-160.0, -40.0, 100.0, 30.0), (-155.0, -35.0, 95.0, 25.0), 254.0)
    piece = PlacedPiece(
        table=PieceTable(job="a.toml", turn=Angle(turn, f"{turn}°")),
        prepared=cast("PreparedJob", None), sheet=sheet, place=PiecePlace(50, 80))
    x, y = piece.origin_mm
    assert (x - 50 * 0.1, y - 80 * 0.1) == pytest.approx(expected_mm, abs=1.0)
