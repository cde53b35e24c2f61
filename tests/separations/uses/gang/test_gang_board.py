"""What holds of a board of several jobs."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from separations.uses.gang.gang_board import _stage


@pytest.mark.parametrize(("stages", "stage"), [
    (("sheet", "board"), "sheet"), (("board", "board"), "board"), (("sheet",), "sheet")])
def test_one_piece_that_is_to_be_pressed_makes_it_a_sheet(stages: tuple[str, ...],
                                                          stage: str) -> None:
    pieces: Any = [SimpleNamespace(prepared=SimpleNamespace(laid=SimpleNamespace(
        job=SimpleNamespace(stage=one)))) for one in stages]
    assert _stage(pieces) == stage
