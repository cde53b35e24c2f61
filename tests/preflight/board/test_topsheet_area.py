"""Trim, printed and safe area."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from preflight.board.outline_from_numbers import BoardNumbers, outline_from_numbers
from preflight.board.topsheet_area import PrintStage, topsheet_area
from preflight.input_problem import InputProblem

BOARD = outline_from_numbers(BoardNumbers(
    length_mm=1600.0, nose_width_mm=300.0, waist_width_mm=254.0, contact_length_mm=1200.0,
    taper_mm=12.0))


def test_sheet_runs_past_the_trim_by_the_bleed() -> None:
    area = topsheet_area(BOARD, "sheet", bleed_mm=8, safety_margin_mm=6, edge_margin_mm=3)
    assert area.trim.equals(BOARD.polygon)
    assert area.printed.bounds == pytest.approx((-808, -158, 808, 158), abs=0.01)
    assert area.safe.bounds == pytest.approx((-794, -144, 794, 144), abs=0.01)


def test_board_stops_at_the_edge_margin() -> None:
    area = topsheet_area(BOARD, "board", bleed_mm=8, safety_margin_mm=6, edge_margin_mm=3)
    assert area.printed.bounds == pytest.approx((-797, -147, 797, 147), abs=0.01)
    edge = topsheet_area(BOARD, "board", bleed_mm=8, safety_margin_mm=6, edge_margin_mm=0)
    assert edge.printed.equals(BOARD.polygon)


@settings(max_examples=25, deadline=None)
@given(stage=st.sampled_from(["sheet", "board"]), bleed=st.floats(0, 30), safety=st.floats(0, 30),
       edge=st.floats(0, 30))
def test_areas_nest(stage: PrintStage, bleed: float, safety: float, edge: float) -> None:
    area = topsheet_area(BOARD, stage, bleed_mm=bleed, safety_margin_mm=safety,
                         edge_margin_mm=edge)
    assert area.safe.difference(area.printed).area < 1e-6
    assert area.safe.difference(area.trim).area < 1e-6
    inner, outer = ((area.trim, area.printed) if stage == "sheet" else (area.printed, area.trim))
    assert inner.difference(outer).area < 1e-6


@pytest.mark.parametrize("bad", [-1.0, math.nan, math.inf, 140.0])
def test_unfit_margin_is_refused(bad: float) -> None:
    with pytest.raises(InputProblem) as caught:
        topsheet_area(BOARD, "sheet", bleed_mm=8, safety_margin_mm=bad, edge_margin_mm=3)
    assert caught.value.where == "safety_margin"
