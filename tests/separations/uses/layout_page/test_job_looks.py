"""Parts cut out of the board's picture."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.frames.raster_grid import grid_over
from separations.uses.layout_page.job_looks import _cut


def test_a_part_reaches_from_its_least_to_its_greatest_place() -> None:
    """A picture of 300 × 100 mm, a pixel a millimetre, whose red and green tell the place."""
    grid = grid_over((-150.0, -50.0, 150.0, 50.0), 1.0)
    whole = np.zeros((100, 300, 3), np.uint8)
    whole[..., 0] = np.arange(300) // 2
    whole[..., 1] = np.arange(100)[:, None]
    cut = _cut(whole, grid, (-20.5, -10.5, 30.5, 15.5))
    pixels = np.frombuffer(cut.pixels, np.uint8).reshape(cut.rows, cut.columns, 4)
    assert (cut.columns, cut.rows) == (52, 27)
    assert (cut.left_x_mm, cut.top_y_mm) == pytest.approx((-21.0, 16.0))
    assert np.array_equal(pixels[..., :3], whole[34:61, 129:181])
