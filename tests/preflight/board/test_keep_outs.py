"""Printed areas with holes: exact coverage, spans, and what is left."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely import box

from preflight.board.area_mask import coverage_mask, row_spans
from preflight.board.fittings import disc, without_ink
from preflight.board.topsheet_area import TopsheetArea
from preflight.frames.raster_grid import grid_over
from preflight.input_problem import InputProblem
from tests.plain_geometry import pixels_in

AREA = TopsheetArea(trim=box(-100, -30, 100, 30), printed=box(-105, -35, 105, 35),
                    safe=box(-92, -22, 92, 22))
HOLES = [disc(np.array([x, y]), 8.6) for x in (-40.0, 0.0, 40.0) for y in (20.0, -20.0)]


def test_holes_are_taken_from_printed_and_safe_area_but_not_from_the_trim() -> None:
    cut = without_ink(AREA, HOLES, where="t")
    hole = math.pi * 4.3**2
    assert cut.printed.area == pytest.approx(210 * 70 - 6 * hole, rel=1e-6)
    assert cut.safe.area < AREA.safe.area - 3 * hole
    assert cut.trim is AREA.trim
    assert cut.uncut is AREA.printed
    assert cut.image_bounds == AREA.image_bounds


def test_coverage_and_spans_know_the_holes() -> None:
    cut = without_ink(AREA, HOLES, where="t")
    grid = grid_over(cut.printed.bounds, 0.25)
    mask = coverage_mask(cut.printed, grid)
    assert mask.sum(dtype=np.float64) / 65535 * 0.25**2 == pytest.approx(cut.printed.area, rel=1e-5)
    spans = row_spans(cut.printed, grid)
    assert spans.starts.shape[1] == 3  # left of both holes, between them, right of them
    inside = spans.inside()
    x, y = np.meshgrid(grid.row_centres_x_mm(), grid.column_centres_y_mm(), indexing="ij")
    nearest = np.min([np.hypot(x - cx, y - cy) for cx in (-40, 0, 40) for cy in (20, -20)], axis=0)
    assert not inside[nearest < 4.29].any()
    assert inside[nearest > 4.31].all()
    assert not mask[nearest < 4.3 - 0.25].any()


def test_a_keep_out_at_the_edge_leaves_the_films_their_size() -> None:
    cut = without_ink(AREA, [box(80, -40, 200, 40)], where="t")
    assert cut.printed.bounds[2] == 80
    assert cut.image_bounds == AREA.printed.bounds


def test_a_band_across_leaves_two_parts() -> None:
    cut = without_ink(AREA, [box(-5, -60, 5, 60)], where="t")
    assert cut.printed.geom_type == "MultiPolygon"
    assert pixels_in(row_spans(cut.printed, grid_over(cut.image_bounds, 0.5))) == 400 * 140


def test_nothing_to_keep_off_changes_nothing() -> None:
    assert without_ink(AREA, [], where="t") is AREA
    assert without_ink(AREA, [box(300, 0, 310, 10)], where="t") is AREA


def test_nothing_left_is_told() -> None:
    with pytest.raises(InputProblem, match="keep-outs that leave nothing to print on"):
        without_ink(AREA, [box(-200, -200, 200, 200)], where="job.toml")
