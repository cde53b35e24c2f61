"""Line work on the film against a plain whole-number reckoning, wherever it is cut."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from preflight.frames.raster_grid import RasterGrid
from preflight.frames.tiled_plane import tiled
from separations.halftone.film_content import FilmContent, FilmLines
from separations.halftone.line_kernel import STRETCH
from separations.halftone.line_layer import LineLayer, lay_lines, line_layer
from separations.halftone.tone_levels import line_levels

Build = Callable[..., FilmContent]


def _layer(
    photo_film: Build, seed: int, *, dpi: float = 1440.0,
    spans: tuple[NDArray[np.int32], NDArray[np.int32]] | None = None,
) -> tuple[LineLayer, NDArray[np.uint8], FilmContent]:
    """A layer of blots with empty ground between, on a coarser raster of the board."""
    film = photo_film(film_dpi=dpi)
    grid = film.tone_grid
    rng = np.random.default_rng(seed)
    blots = gaussian_filter(rng.random((grid.rows, grid.columns)), 3.0)
    plane = (np.clip((blots - 0.53) * 40, 0, 1) * 255).astype(np.uint8)
    plane[grid.rows // 3:grid.rows // 2] = 0
    rows, columns = film.film_grid.rows, film.film_grid.columns
    cuts = spans or (np.zeros((rows, 1), np.int32), np.full((rows, 1), columns, np.int32))
    work = FilmLines(plane=tiled(plane), grid=grid, action="print")
    return line_layer(work, film, cuts), plane, film


def _expected(layer: LineLayer, plane: NDArray[np.uint8], grid: RasterGrid) -> NDArray[np.bool_]:
    """Ink where the weighed levels of four plane pixels lie on its side, pixel by pixel."""
    levels = line_levels().astype(np.int64)[plane]
    rows, columns = layer.rows, layer.columns
    right = np.minimum(columns.base + 1, plane.shape[1] - 1)
    down = np.minimum(rows.base + 1, plane.shape[0] - 1)
    across = (columns.weights[1].astype(np.int64) * levels[:, columns.base]
              + columns.weights[2].astype(np.int64) * levels[:, right] + 8192) >> 14
    found = (rows.weights[1].astype(np.int64)[:, None] * across[rows.base]
             + rows.weights[2].astype(np.int64)[:, None] * across[down]) < 0
    starts, ends = layer.cuts
    column = np.arange(grid.columns)
    keep = np.zeros_like(found)
    for s in range(starts.shape[1]):
        keep |= (column >= starts[:, s, None]) & (column < ends[:, s, None])
    return np.asarray(found & keep)


def _laid(layer: LineLayer, grid: RasterGrid, step: int) -> NDArray[np.bool_]:
    packed = np.zeros((grid.rows, (grid.columns + 7) // 8), np.uint8)
    for first in range(0, grid.rows, step):
        end = min(first + step, grid.rows)
        lay_lines(layer, (first, end), 0, packed[first:end])
    return np.unpackbits(packed, axis=1)[:, :grid.columns].astype(np.bool_)


@pytest.mark.parametrize(("seed", "dpi", "step"), [(1, 1440.0, 256), (2, 1440.0, 37),
                                                   (3, 720.0, 1000), (4, 2880.0, 256)])
def test_line_work_is_what_a_plain_reckoning_says(
        photo_film: Build, seed: int, dpi: float, step: int) -> None:
    layer, plane, film = _layer(photo_film, seed, dpi=dpi)
    bits = _laid(layer, film.film_grid, step)
    np.testing.assert_array_equal(bits, _expected(layer, plane, film.film_grid))
    assert 0.02 < bits.mean() < 0.6


def test_line_work_is_cut_to_spans_that_end_anywhere_in_a_stretch(photo_film: Build) -> None:
    grid = photo_film().film_grid
    rng = np.random.default_rng(7)
    edges = np.sort(rng.integers(0, grid.columns, (grid.rows, 4)), axis=1).astype(np.int32)
    edges[:5] = 0
    edges[5:10] = [0, STRETCH, 3 * STRETCH, 4 * STRETCH]
    spans = np.ascontiguousarray(edges[:, ::2]), np.ascontiguousarray(edges[:, 1::2])
    layer, plane, film = _layer(photo_film, 5, spans=spans)
    bits = _laid(layer, grid, 256)
    np.testing.assert_array_equal(bits, _expected(layer, plane, film.film_grid))
    assert not bits[:5].any()
    assert bits.any()
