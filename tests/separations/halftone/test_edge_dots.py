"""Dots at the edge of the printed area: cut, or whole by where their middles lie."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import label

from preflight.frames.tiled_plane import tiled
from preflight.press.halftone_spec import DotShape, SmallDots
from separations.halftone.cell_lattice import Turned
from separations.halftone.film_bands import film_bands
from separations.halftone.film_content import FilmContent, FilmLines
from tests.prepared_jobs import prepare
from tests.small_art import write_small_job

Build = Callable[..., FilmContent]


def _bits(content: FilmContent, rows_per_band: int = 512) -> NDArray[np.bool_]:
    packed = np.concatenate(list(film_bands(content, rows_per_band)))
    return np.unpackbits(packed, axis=1)[:, :content.film_grid.columns].astype(bool)


def _round_area(build: Build, tone: float, **spec: object) -> tuple[FilmContent, NDArray[np.bool_]]:
    """A flat tint in a round area, dots whole at its edge; and the area's own pixels."""
    film = build(**spec)
    grid = film.film_grid
    row, column = np.arange(grid.rows), np.arange(grid.columns)
    half = np.sqrt(np.clip(550.0**2 - (row - grid.rows / 2) ** 2, 0, None))
    starts, ends = (np.rint(grid.columns / 2 + side * half).astype(np.int32)[:, None]
                    for side in (-1, 1))
    inside = (column >= starts) & (column < ends)
    return replace(film, tones=np.full_like(film.tones, round(tone * 65535)),
                   spans=SimpleNamespace(starts=starts, ends=ends), whole_edge_dots=True), inside


@pytest.mark.parametrize("shape", ["round", "square", "euclidean"])
@pytest.mark.parametrize("small_dots", ["drop", "thin"])
@pytest.mark.parametrize("tone", [0.12, 0.65])
def test_cells_print_by_where_their_middles_lie(
    photo_film: Build, shape: DotShape, small_dots: SmallDots, tone: float
) -> None:
    content, inside = _round_area(photo_film, tone, dot_shape=shape, small_dots=small_dots,
                                  smallest_tone=0.02, largest_tone=0.98)
    everywhere = _bits(replace(content, spans=None))
    turned, grid = Turned.of(content.spec, content.film_grid), content.film_grid
    u_rows, v_rows = turned.of_rows(grid.row_centres_x_mm())
    u_columns, v_columns = turned.of_columns(grid.column_centres_y_mm())
    u, v = (np.round(rows[:, None] + columns)
            for rows, columns in ((u_rows, u_columns), (v_rows, v_columns)))
    x = ((u - turned.aside_u) * turned.cos - (v - turned.aside_v) * turned.sin) \
        / turned.periods_per_mm + turned.origin_x_mm
    y = ((u - turned.aside_u) * turned.sin + (v - turned.aside_v) * turned.cos) \
        / turned.periods_per_mm + turned.origin_y_mm
    row, column = np.floor(grid.row_of(0) - x / grid.pixel_mm).astype(int), \
        np.floor(grid.column_of(0) - y / grid.pixel_mm).astype(int)
    on_film = (row >= 0) & (row < grid.rows) & (column >= 0) & (column < grid.columns)
    kept = on_film & inside[row.clip(0, grid.rows - 1), column.clip(0, grid.columns - 1)]
    assert (_bits(content) != (everywhere & kept)).mean() < 2e-5
    assert (everywhere & inside & ~kept).any()


def test_no_dot_is_cut_at_the_edge(photo_film: Build) -> None:
    content, inside = _round_area(photo_film, 0.12)
    areas = np.bincount(label(_bits(content))[0].ravel())[1:]
    assert areas.min() > 0.9 * np.median(areas)
    cut = np.bincount(label(_bits(replace(content, whole_edge_dots=False)))[0].ravel())[1:]
    assert cut.min() < 0.5 * np.median(areas)
    reach = content.spec.cell_pixels / 2
    row, column = np.nonzero(_bits(content) & ~inside)
    centre = np.array(inside.shape) / 2
    assert np.hypot(row - centre[0], column - centre[1]).max() < 550 + reach


def test_scattered_dots_are_whole_too(photo_film: Build) -> None:
    content, inside = _round_area(photo_film, 0.05, dot_shape="stochastic",
                                  stochastic_dot_um=200.0)
    dots = _bits(content)
    areas = np.bincount(label(dots)[0].ravel())[1:]
    assert areas.min() > 0.8 * np.median(areas)
    assert (dots & ~inside).any()
    np.testing.assert_array_equal(_bits(content, 7), dots)


def test_bands_do_not_change_a_bit(photo_film: Build) -> None:
    content, _ = _round_area(photo_film, 0.01, smallest_tone=0.02, largest_tone=0.98,
                             small_dots="thin")
    np.testing.assert_array_equal(_bits(content, 7), _bits(content))


def test_line_work_is_still_cut(photo_film: Build) -> None:
    content, inside = _round_area(photo_film, 0.0)
    solid = FilmLines(plane=tiled(np.full(content.tones.shape, 255, np.uint8)),
                     grid=content.tone_grid, action="print")
    np.testing.assert_array_equal(_bits(replace(content, lines=(solid,))), inside)


def test_dots_are_whole_where_the_board_touches_its_own_bounds(tmp_path: Path) -> None:
    """The film reaches past the printed area, so that no dot is cut at nose, tail and sides."""
    path = write_small_job(tmp_path, ("[area]", '[area]\nedge_dots = "whole"'),
                           ("[halftone]", '[halftone]\ndot_shape = "round"'))
    Image.new("RGB", (310, 90), (225, 225, 225)).save(path.parent / "photo.png")
    Image.new("L", (310, 90), 255).save(path.parent / "lines.png")
    content = prepare(path, finest_ppi=72).contents[2]
    cut = prepare(write_small_job(tmp_path / "cut"), finest_ppi=72).contents[2]
    reach = content.spec.dot_reach_mm / content.film_grid.pixel_mm
    assert content.film_grid.rows - cut.film_grid.rows == pytest.approx(2 * reach, abs=1)
    bits = _bits(content)
    for edge in (bits[0], bits[-1], bits[:, 0], bits[:, -1]):
        assert not edge.any()
    areas = np.bincount(label(bits, np.ones((3, 3)))[0].ravel())[1:]
    assert areas.min() > 0.9 * np.median(areas)
    assert bits[:round(reach)].any()  # the printed area begins below these rows
