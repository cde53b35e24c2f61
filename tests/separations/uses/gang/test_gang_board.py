"""A gang as one board: what it takes from its pieces."""

from __future__ import annotations

from types import SimpleNamespace
from typing import cast

import pytest

from separations.uses.gang.gang_board import _stage
from separations.uses.gang.placed_pieces import PlacedPiece


@pytest.mark.parametrize(("stages", "whole"), [
    (["board", "board"], "board"), (["board", "sheet"], "sheet"), (["sheet", "sheet"], "sheet")])
def test_one_loose_sheet_makes_the_whole_gang_loose_sheets(stages: list[str], whole: str) -> None:
    pieces = [SimpleNamespace(prepared=SimpleNamespace(laid=SimpleNamespace(
        job=SimpleNamespace(stage=stage)))) for stage in stages]
    assert _stage([cast("PlacedPiece", piece) for piece in pieces]) == whole
