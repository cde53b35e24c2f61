"""Dots of flat tints: each with its area, whole, wherever and however the film is asked for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.ndimage import binary_erosion, label

from preflight.frames.film_scale import FilmScale
from preflight.frames.raster_grid import RasterGrid, grid_over
from preflight.press.halftone_spec import DotShape, HalftoneSpec
from separations.halftone.even_dots import FINER, even_dots
from separations.halftone.film_bands import dots_in, film_bands
from separations.halftone.film_content import FilmContent, grid_of_four
from separations.halftone.screening import prepare, screen_region
from separations.measuring.hold.film_windows import Window, content_in

SIDE = 1200


def _tint(shape: DotShape, angle_deg: float, tone: float, lpi: float = 45.0,
          side: int = SIDE) -> FilmContent:
    film = RasterGrid(top_x_mm=60.0, left_y_mm=30.0, pixel_mm=25.4 / 1440, rows=side,
                      columns=side)
    return FilmContent(tones=np.full((2, 2), round(tone * 65535), np.uint16),
                       tone_grid=grid_of_four(film), film_grid=film,
                       spec=HalftoneSpec(ruling_lpcm=lpi / 2.54, angle_deg=angle_deg,
                                         dot_shape=shape, film_dpi=1440.0))


def _bits(content: FilmContent, rows_per_band: int = 512, workers: int = 2) -> NDArray[np.bool_]:
    packed = np.concatenate(list(film_bands(content, rows_per_band, workers=workers)))
    return np.unpackbits(packed, axis=1)[:, :content.film_grid.columns].astype(bool)


def _plain(content: FilmContent) -> NDArray[np.bool_]:
    """As dots are cut at pixel centres: tones one step apart by turns are nowhere flat."""
    grid = content.film_grid
    turns = np.indices((grid.rows, grid.columns)).sum(axis=0)
    tones = content.tones[0, 0] + (turns % 2).astype(np.uint16)
    return _bits(replace(content, tones=tones, tone_grid=grid))


def _whole_areas(bits: NDArray[np.bool_]) -> NDArray[np.intp]:
    """Areas of connected dots (sharing sides or corners) that do not touch the film's edge."""
    parts, count = label(bits, np.ones((3, 3)))
    edge = np.zeros(count + 1, np.bool_)
    for line in (parts[0], parts[-1], parts[:, 0], parts[:, -1]):
        edge[line] = True
    return np.bincount(parts.ravel(), minlength=count + 1)[1:][~edge[1:]]


@pytest.mark.parametrize("shape", ["round", "elliptical", "square", "euclidean", "diamond"])
@pytest.mark.parametrize(("tone", "lpi"), [(0.03, 45.0), (0.3, 45.0), (0.12, 65.0), (0.2, 36.0)])
def test_dots_and_holes_have_their_area_within_a_pixel(shape: DotShape, tone: float,
                                                       lpi: float) -> None:
    for hole in (False, True):
        content = _tint(shape, 22.5, 1 - tone if hole else tone, lpi)
        bits = _bits(content)
        areas = _whole_areas(~bits if hole else bits)
        pixels = content.spec.cell_pixels**2
        assert len(areas) > 0.8 * SIDE**2 / pixels
        assert np.abs(areas - tone * pixels).max() < 2.5
        assert areas.mean() == pytest.approx(tone * pixels, abs=0.1)
        assert areas.std() < 0.75
        cut = _plain(content)
        assert areas.std() < _whole_areas(~cut if hole else cut).std()


@pytest.mark.parametrize("shape", ["round", "elliptical", "square", "line", "euclidean", "diamond"])
@pytest.mark.parametrize("tone", [0.1, 0.42, 0.5, 0.58, 0.9])
def test_edges_stay_where_they_are_within_a_pixel(shape: DotShape, tone: float) -> None:
    content = _tint(shape, 52.5, tone)
    bits, cut = _bits(content), _plain(content)
    eight = np.ones((3, 3), np.bool_)
    assert (bits[1:-1, 1:-1] >= binary_erosion(cut, eight)[1:-1, 1:-1]).all()
    assert (bits[1:-1, 1:-1] <= ~binary_erosion(~cut, eight)[1:-1, 1:-1]).all()
    assert 0.0005 < (bits != cut).mean() < 0.03
    assert bits.mean() == pytest.approx(tone, abs=1e-3)


@pytest.mark.parametrize("shape", ["round", "elliptical", "square", "euclidean", "diamond"])
@pytest.mark.parametrize("tone", [0.03, 0.3, 0.43, 0.5, 0.97])
def test_there_are_hardly_any_specks(shape: DotShape, tone: float) -> None:
    """One or two pixels by themselves, and such as hang on by a corner only."""
    bits = _bits(_tint(shape, 7.5, tone))
    cells = SIDE**2 / 32**2
    for of in (bits, ~bits):
        assert (_whole_areas(of) <= 2).sum() <= 0.005 * cells
        by_a_corner = np.bincount(label(of)[0].ravel())[1:] <= 2
        assert by_a_corner.sum() <= 0.025 * cells


def test_any_band_crop_number_of_workers_and_window_gives_the_same_dots(
        photo_film: Callable[..., FilmContent]) -> None:
    film = photo_film(dot_shape="elliptical", pattern=2)
    tones = film.tones.copy()
    tones[40:160, 30:140] = 20000
    tones[100:230, 90:200] = 50000
    content = replace(film, tones=tones, scale=FilmScale(along=1.004, across=0.997))
    assert len(even_dots(content).drawings) > 0
    bits = _bits(content)
    assert (bits != _bits(content, 37, 1)).sum() == 0
    prepared, rng = prepare(content), np.random.default_rng(3)
    grid = content.film_grid
    for _ in range(25):
        top, left = int(rng.integers(grid.rows - 90)), int(rng.integers(grid.columns - 90))
        height, width = (int(n) for n in rng.integers(1, 90, 2))
        crop = np.s_[top:top + height, left:left + width]
        np.testing.assert_array_equal(
            dots_in(prepared, top, top + height, left, left + width), bits[crop])
        window = content_in(content, Window(first_row=top, end_row=top + height,
                                            first_column=left, end_column=left + width))
        np.testing.assert_array_equal(dots_in(window, 0, height, 0, width), bits[crop])


def test_where_tones_change_dots_are_cut_as_ever(photo_film: Callable[..., FilmContent]) -> None:
    content = photo_film(width_mm=12.0, length_mm=12.0)
    assert len(even_dots(content).drawings) == 0
    tones = content.tones.copy()
    tones[20:80, 20:80] = 20000
    changed = _bits(replace(content, tones=tones)) != _bits(content)
    step = content.film_grid.rows / content.tone_grid.rows
    far = np.ones_like(changed)
    far[round(14 * step):round(86 * step), round(14 * step):round(86 * step)] = False
    assert changed.any()
    assert not (changed & far).any()


@pytest.mark.parametrize("tone", [0.0, 1.0])
def test_clear_and_solid_film_is_not_drawn(tone: float) -> None:
    content = _tint("round", 22.5, tone, side=300)
    assert len(even_dots(content).drawings) == 0
    assert (_bits(content) == bool(tone)).all()


def test_cells_of_whole_pixels_at_a_right_angle_and_thinned_tones_are_not_drawn() -> None:
    assert len(even_dots(_tint("round", 0.0, 0.3)).drawings) == 0
    content = _tint("round", 22.5, 0.01)
    thin = replace(content.spec, smallest_tone=0.03, largest_tone=0.97, small_dots="thin")
    assert len(even_dots(replace(content, spec=thin)).drawings) == 0
    assert len(even_dots(content).drawings) > 0


def test_no_dot_of_a_flat_tint_is_under_the_smallest() -> None:
    content = _tint("round", 22.5, 0.03 + 1 / 65535)
    spec = replace(content.spec, smallest_tone=0.03, largest_tone=0.97, small_dots="thin")
    bits = _bits(replace(content, spec=spec))
    assert len(even_dots(replace(content, spec=spec)).drawings) > 0
    assert _whole_areas(bits).min() > 0.03 * spec.cell_pixels**2 - 1.5


def test_films_larger_than_tables_can_say_keep_the_dots_as_cut() -> None:
    """Places are whole numbers of 32 bits: film rows times a drawing's side must fit in 2²⁷."""
    content = _tint("round", 22.5, 0.3, side=16)
    grid = replace(content.film_grid, rows=2**22, columns=8)
    long = replace(content, film_grid=grid, tone_grid=grid_of_four(grid))
    assert len(even_dots(long).drawings) == 0


def test_many_levels_take_so_much_memory_and_no_more() -> None:
    """64 levels are drawn, the commonest; all others keep the dots they have."""
    bounds = (0.0, 0.0, 60.0, 60.0)
    plane = grid_over(bounds, 0.1)
    tones = np.kron(1000 + 500 * np.arange(100).reshape(10, 10), np.ones((60, 60)))
    content = FilmContent(tones=tones.astype(np.uint16), tone_grid=plane,
                          film_grid=grid_over(bounds, 25.4 / 1440),
                          spec=_tint("round", 22.5, 0.3).spec)
    drawn = even_dots(content)
    assert len(drawn.drawings) == 64 * (FINER * drawn.side) ** 2
    packed = screen_region(prepare(content), 0, content.film_grid.rows)
    bits = np.unpackbits(packed, axis=1)[:, :content.film_grid.columns]
    assert bits.mean() == pytest.approx(tones.mean() / 65535, abs=1e-3)


def test_just_the_drawings_that_cells_have_are_made() -> None:
    few, many = (even_dots(_tint("elliptical", 22.5, 0.3, side=side)) for side in (160, SIDE))
    drawn = [made.drawings.reshape(FINER**2, -1).any(axis=1) for made in (few, many)]
    cells = np.count_nonzero(few.offsets > np.iinfo(np.int32).min)
    assert 0 < np.count_nonzero(drawn[0]) <= cells < FINER**2
    assert np.count_nonzero(drawn[1]) > 0.9 * FINER**2
