"""Ink counted by coarse cells."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.frames.raster_grid import RasterGrid
from separations.halftone.tone_levels import (
    cell_pixels,
    count_cells,
    coverage_map,
    empty_counts,
)

GRID = RasterGrid(top_x_mm=5.0, left_y_mm=4.0, pixel_mm=25.4 / 1440, rows=700, columns=645)


def test_counts_are_those_of_the_bits_whatever_the_bands() -> None:
    rng = np.random.default_rng(2)
    bits = rng.random((GRID.rows, GRID.columns)) < 0.3
    packed = np.packbits(bits, axis=1)
    side = cell_pixels(GRID)
    for height in (1, 50, 700):
        counts = empty_counts(GRID)
        for first in range(0, GRID.rows, height):
            count_cells(packed[first:first + height], first, side, counts)
        assert counts.sum() == bits.sum()
        assert counts[2, 3] == bits[2 * side:3 * side, 3 * side:4 * side].sum()


def test_a_solid_film_is_covered_to_its_very_edges() -> None:
    counts = empty_counts(GRID)
    solid = np.packbits(np.ones((GRID.rows, GRID.columns), bool), axis=1)
    count_cells(solid, 0, cell_pixels(GRID), counts)
    covered = coverage_map(counts, GRID)
    assert (covered.share == 1).all()
    assert covered.share.shape == (covered.grid.rows, covered.grid.columns)
    assert covered.grid.pixel_mm == pytest.approx(2.0, abs=0.1)
    assert (covered.grid.top_x_mm, covered.grid.left_y_mm) == (5.0, 4.0)
