"""Which reader a file gets, and keys that it has no use for."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from preflight.board.outline_from_file import read_outline_file
from preflight.input_problem import InputProblem
from tests.preflight.board.test_outline_from_dxf import drawn


@pytest.mark.parametrize(("name", "keys", "says"), [
    ("a.dwg", {}, "found a DWG file; the same drawing saved as DXF would do."),
    ("a.pdf", {}, "found a PDF file; the outline as DXF or SVG would do."),
    ("a.csv", {"layer": "Trim"}, "found outline_layer for a table of points; a drawing ending in "
                                 ".dxf or .svg would do."),
    ("a.csv", {"gap_mm": 0.2}, "found outline_gap for a table of points; a drawing ending in "
                               ".dxf or .svg would do."),
    ("a.csv", {"nose": "left"}, "found outline_nose for a table of points; a drawing ending in "
                                ".dxf or .svg would do."),
    ("a.dxf", {"smooth": True}, "found outline_smooth for a drawing; a table of points, or a "
                                "drawing without outline_smooth, would do.")])
def test_what_does_not_fit_together(tmp_path: Path, name: str, keys: dict[str, Any], says: str
                                    ) -> None:
    with pytest.raises(InputProblem) as caught:
        read_outline_file(tmp_path / name, **keys)
    assert caught.value.sentence == f"{tmp_path / name}: {says}"


def test_endings_in_capitals_and_tables(tmp_path: Path) -> None:
    assert read_outline_file(drawn(tmp_path / "A.DXF")).length_mm == pytest.approx(1580, abs=0.01)
    table = tmp_path / "a.csv"
    table.write_text("\n".join(f"{x},{y}" for x, y in (
        (-50, -10), (0, -11), (50, -10), (55, 0), (50, 10), (0, 11), (-50, 10), (-55, 0))))
    assert read_outline_file(table, unit="cm").length_mm == pytest.approx(1100)
