"""Taps of film pixels among plane pixels."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from preflight.frames.raster_grid import RasterGrid, grid_over
from separations.halftone.upsampling import (
    WEIGHT_ONE,
    Interpolation,
    Taps,
    column_taps,
    row_taps,
)

PLANE = grid_over((0.0, 0.0, 20.0, 10.0), 0.1)
FILM = grid_over((0.0, 0.0, 20.0, 10.0), 25.4 / 1440)


def _interpolated(values: np.ndarray, taps: Taps) -> np.ndarray:
    places = np.clip(taps.base[None] + np.arange(-1, 3)[:, None], 0, len(values) - 1)
    return np.asarray((taps.weights.astype(np.int64) * values[places]).sum(axis=0) / WEIGHT_ONE)


@pytest.mark.parametrize("how", ["cubic", "linear"])
def test_positions_in_the_plane_are_exact(how: Interpolation) -> None:
    found = _interpolated(PLANE.row_centres_x_mm() * 1000, row_taps(FILM, PLANE, how))
    inner = slice(20, -20)
    np.testing.assert_allclose(found[inner], FILM.row_centres_x_mm()[inner] * 1000, atol=0.02)
    found = _interpolated(PLANE.column_centres_y_mm() * 1000, column_taps(FILM, PLANE, how))
    np.testing.assert_allclose(found[inner], FILM.column_centres_y_mm()[inner] * 1000, atol=0.02)


@given(st.lists(st.sampled_from([0, 20000, 65535]), min_size=200, max_size=200))
def test_between_clear_pixels_is_clear_and_between_solid_ones_solid(tones: list[int]) -> None:
    values = np.array(tones)
    taps = row_taps(FILM, PLANE)
    found = np.clip(_interpolated(values, taps), 0, 65535)
    first, second = values[taps.base], values[np.minimum(taps.base + 1, 199)]
    for flat in (0, 65535):
        assert (found[(first == flat) & (second == flat)] == flat).all()


def test_weights_sum_to_one_everywhere() -> None:
    assert (row_taps(FILM, PLANE).weights.sum(axis=0, dtype=int) == WEIGHT_ONE).all()


@pytest.mark.parametrize(("top_x_mm", "rows"), [(30.0, 10), (-10.0, 10), (30.0, 150), (5.0, 150)],
                         ids=["above", "below", "in part above", "in part below"])
def test_a_film_beyond_its_plane_is_refused(top_x_mm: float, rows: int) -> None:
    far = RasterGrid(top_x_mm=top_x_mm, left_y_mm=10.0, pixel_mm=0.1, rows=rows, columns=10)
    with pytest.raises(ValueError, match="reaches beyond"):
        row_taps(far, PLANE)


@pytest.mark.parametrize("left_y_mm", [20.0, -10.0])
def test_a_film_beside_its_plane_is_refused(left_y_mm: float) -> None:
    far = RasterGrid(top_x_mm=10.0, left_y_mm=left_y_mm, pixel_mm=0.1, rows=10, columns=10)
    with pytest.raises(ValueError, match="reaches beyond"):
        column_taps(far, PLANE)
