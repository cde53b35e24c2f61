"""Screening: the same dots whatever is asked for, against a plain computation, and cut cleanly."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from preflight.frames.raster_grid import RasterGrid
from preflight.frames.tiled_plane import tiled
from preflight.press.dot_shapes import DOT_SHAPES
from preflight.press.halftone_spec import DotShape
from separations.halftone.cell_lattice import ORIGIN_PIXELS, origin_mm
from separations.halftone.film_bands import dots_in, film_bands, in_order
from separations.halftone.film_content import FilmContent, FilmLines
from separations.halftone.plane_rows_kernel import STRETCH
from separations.halftone.screening import prepare, screen_region
from separations.halftone.spot_levels import SPOT_SCALE, levelled_spot
from separations.halftone.tone_levels import tone_levels
from separations.halftone.upsampling import WEIGHT_ONE, column_taps, row_taps

Build = Callable[..., FilmContent]


def _whole(content: FilmContent, rows_per_band: int = 512, workers: int = 1) -> np.ndarray:
    return np.concatenate(list(film_bands(content, rows_per_band, workers=workers)))


def _plainly(content: FilmContent) -> np.ndarray:
    """The same film by float64 arithmetic over whole arrays."""
    levels = tone_levels(content.spec).astype(np.int64)[content.tones]
    columns = column_taps(content.film_grid, content.tone_grid)
    places = np.clip(columns.base[None] + np.arange(-1, 3)[:, None], 0, levels.shape[1] - 1)
    spread = (columns.weights[:, None].astype(np.int64)
              * levels[:, places].transpose(1, 0, 2)).sum(axis=0)
    spread = ((spread + WEIGHT_ONE // 2) // WEIGHT_ONE).clip(-32767, 32767)
    rows = row_taps(content.film_grid, content.tone_grid)
    places = np.clip(rows.base[None] + np.arange(-1, 3)[:, None], 0, len(spread) - 1)
    level = (rows.weights[:, :, None].astype(np.int64) * spread[places]).sum(axis=0) / WEIGHT_ONE
    spec, grid = content.spec, content.film_grid
    angle, (x0, y0) = math.radians(spec.angle_deg), origin_mm(grid)
    x = (grid.row_centres_x_mm() - x0)[:, None] * spec.ruling_lpcm / 10
    y = (grid.column_centres_y_mm() - y0)[None, :] * spec.ruling_lpcm / 10
    aside = [pixels / spec.cell_pixels for pixels in ORIGIN_PIXELS]
    height = levelled_spot(spec.dot_shape).height(
        x * math.cos(angle) + y * math.sin(angle) + aside[0],
        -x * math.sin(angle) + y * math.cos(angle) + aside[1])
    return np.asarray(SPOT_SCALE * height > level)


@pytest.mark.parametrize("shape", DOT_SHAPES)
def test_dots_are_those_of_a_plain_computation(photo_film: Build, shape: DotShape) -> None:
    film = photo_film(dot_shape=shape, angle_deg=52.5)
    fast = np.unpackbits(_whole(film), axis=1)[:, :film.film_grid.columns].astype(bool)
    differing = (fast != _plainly(film)).mean()
    assert differing < 3e-6


@pytest.mark.parametrize("shape", ["elliptical", "square", "diamond"])
def test_a_film_of_several_stretches_is_one_computation(photo_film: Build, shape: DotShape) -> None:
    film = photo_film(dot_shape=shape, width_mm=95.0, length_mm=9.0)
    columns = film.film_grid.columns
    assert 2 * STRETCH < columns < 3 * STRETCH
    packed = _whole(film, 100)
    fast = np.unpackbits(packed, axis=1)[:, :columns].astype(bool)
    assert (fast != _plainly(film)).mean() < 3e-6
    screening = prepare(film)
    for first, end in ((8, columns), (STRETCH - 8, STRETCH + 24), (2 * STRETCH + 16, columns)):
        crop = np.unpackbits(screen_region(screening, 17, 140, first, end), axis=1)
        np.testing.assert_array_equal(crop[:, :end - first].astype(bool), fast[17:140, first:end])


def test_spans_leave_out_whole_stretches_and_parts_of_them(photo_film: Build) -> None:
    film = photo_film(width_mm=95.0, length_mm=4.0)
    rows, columns = film.film_grid.rows, film.film_grid.columns
    starts, ends = np.zeros((rows, 2), np.int32), np.zeros((rows, 2), np.int32)
    starts[:, 0], ends[:, 0] = 40, STRETCH - 30 + np.arange(rows) % 60
    starts[::3, 1], ends[::3, 1] = 2 * STRETCH + 5, columns
    ends[:9, 0] = 0
    bits = np.unpackbits(_whole(film), axis=1)
    spans = SimpleNamespace(starts=starts, ends=ends)
    cut = np.unpackbits(_whole(replace(film, spans=spans)), axis=1)
    column = np.arange(bits.shape[1])
    keep = np.zeros(bits.shape, bool)
    for s in range(2):
        keep |= (column >= starts[:, s, None]) & (column < ends[:, s, None])
    np.testing.assert_array_equal(cut, bits * keep)


@pytest.mark.parametrize("shape", ["elliptical", "square", "diamond"])
def test_bands_and_workers_do_not_change_a_bit(photo_film: Build, shape: DotShape) -> None:
    film = photo_film(dot_shape=shape)
    whole = _whole(film)
    for rows_per_band, workers in ((1, 2), (7, 1), (64, 3), (100_000, 2)):
        np.testing.assert_array_equal(_whole(film, rows_per_band, workers), whole)


def test_any_crop_is_the_films_own(photo_film: Build) -> None:
    film = photo_film(width_mm=40.0)
    bits = np.unpackbits(_whole(film), axis=1).astype(bool)
    prepared = prepare(film)
    rng = np.random.default_rng(3)
    grid = film.film_grid
    for _ in range(40):
        top, left = int(rng.integers(grid.rows - 1)), int(rng.integers(grid.columns - 1))
        bottom = int(rng.integers(top + 1, min(top + 90, grid.rows) + 1))
        right = int(rng.integers(left + 1, grid.columns + 1))
        np.testing.assert_array_equal(dots_in(prepared, top, bottom, left, right),
                                      bits[top:bottom, left:right])


def test_a_crop_outside_the_film_is_refused(photo_film: Build) -> None:
    film = photo_film()
    with pytest.raises(ValueError, match="not a region"):
        dots_in(film, 0, film.film_grid.rows + 1, 0, 8)


def test_bits_past_the_last_column_are_clear(photo_film: Build) -> None:
    film = photo_film()
    assert film.film_grid.columns % 8
    past = np.unpackbits(_whole(film), axis=1)[:, film.film_grid.columns:]
    assert not past.any()


def test_solid_is_wholly_solid_and_clear_wholly_clear(photo_film: Build) -> None:
    film = photo_film(smallest_tone=0.02, largest_tone=0.98)
    tones = np.zeros_like(film.tones)
    tones[:, tones.shape[1] // 2:] = 65535
    halves = photo_film(content={}, smallest_tone=0.02, largest_tone=0.98)
    halves = FilmContent(tones=tones, tone_grid=film.tone_grid, film_grid=film.film_grid,
                         spec=halves.spec)
    bits = np.unpackbits(_whole(halves), axis=1)[:, :film.film_grid.columns]
    edge = film.film_grid.columns / 2
    one_plane_pixel = film.tone_grid.pixel_mm / film.film_grid.pixel_mm
    assert not bits[:, :int(edge - one_plane_pixel)].any()
    assert bits[:, math.ceil(edge + one_plane_pixel):].all()


def test_spans_cut_dots_cleanly(photo_film: Build) -> None:
    plain = photo_film()
    rows, columns = plain.film_grid.rows, plain.film_grid.columns
    rng = np.random.default_rng(8)
    cuts = np.sort(rng.integers(0, columns + 1, (rows, 4)), axis=1).astype(np.int32)
    spans = SimpleNamespace(starts=np.ascontiguousarray(cuts[:, ::2]),
                            ends=np.ascontiguousarray(cuts[:, 1::2]))
    cut = photo_film(content={"spans": spans})
    column = np.arange(columns)
    inside = ((column >= cuts[:, [0]]) & (column < cuts[:, [1]])
              | (column >= cuts[:, [2]]) & (column < cuts[:, [3]]))
    for content, allowed in ((plain, True), (cut, inside)):
        bits = np.unpackbits(_whole(content), axis=1)[:, :columns].astype(bool)
        whole = np.unpackbits(_whole(plain), axis=1)[:, :columns].astype(bool)
        np.testing.assert_array_equal(bits, whole & allowed)


def test_line_work_prints_crisply_or_knocks_out_in_order(photo_film: Build) -> None:
    film = photo_film()
    grid = film.film_grid
    coarse = RasterGrid(top_x_mm=grid.top_x_mm, left_y_mm=grid.left_y_mm,
                        pixel_mm=grid.pixel_mm * 4, rows=-(-grid.rows // 4),
                        columns=-(-grid.columns // 4))
    bar = np.zeros((coarse.rows, coarse.columns), np.uint8)
    bar[40:60] = 255
    post = np.zeros_like(bar)
    post[:, 30:50] = 255
    lines = (FilmLines(plane=tiled(bar), grid=coarse, action="knock out"),
             FilmLines(plane=tiled(post), grid=coarse, action="print"))
    bits = np.unpackbits(_whole(photo_film(content={"lines": lines})), axis=1)[:, :grid.columns]
    plain = np.unpackbits(_whole(film), axis=1)[:, :grid.columns]
    expected = plain.copy()
    expected[160:240] = 0
    expected[:, 120:200] = 1
    np.testing.assert_array_equal(bits, expected)


def test_line_work_outlines_run_at_half_coverage(photo_film: Build) -> None:
    film = photo_film()
    grid = film.film_grid
    coarse = RasterGrid(top_x_mm=grid.top_x_mm, left_y_mm=grid.left_y_mm,
                        pixel_mm=grid.pixel_mm * 5, rows=-(-grid.rows // 5),
                        columns=-(-grid.columns // 5))
    ramp = np.tile(np.linspace(0, 255, coarse.columns).astype(np.uint8), (coarse.rows, 1))
    blank = FilmContent(tones=np.zeros_like(film.tones), tone_grid=film.tone_grid,
                        film_grid=grid, spec=film.spec,
                        lines=(FilmLines(plane=tiled(ramp), grid=coarse, action="print"),))
    bits = np.unpackbits(_whole(blank), axis=1)[:, :grid.columns]
    first_inked = bits.argmax(axis=1)
    half = float(np.interp(127.5, ramp[0], np.arange(coarse.columns))) + 0.5
    assert np.abs(first_inked - half * 5).max() <= 3
    assert (np.diff(bits.astype(int), axis=1) >= 0).all()


def test_regions_start_on_whole_bytes(photo_film: Build) -> None:
    with pytest.raises(ValueError, match="multiple of 8"):
        screen_region(prepare(photo_film()), 0, 8, 3)


def test_parts_that_do_not_match_are_refused(photo_film: Build) -> None:
    film = photo_film()
    with pytest.raises(ValueError, match="the tones are"):
        FilmContent(tones=film.tones[:-1], tone_grid=film.tone_grid, film_grid=film.film_grid,
                    spec=film.spec)
    with pytest.raises(ValueError, match="spans"):
        photo_film(content={"spans": SimpleNamespace(starts=np.zeros((3, 1), np.int32),
                                                     ends=np.zeros((3, 1), np.int32))})


def test_results_come_in_order_and_faults_come_through() -> None:
    assert list(in_order(lambda n: n * n, range(20), 3)) == [n * n for n in range(20)]

    def fail_at_five(number: int) -> int:
        if number == 5:
            raise ValueError("five")
        return number

    with pytest.raises(ValueError, match="five"):
        list(in_order(fail_at_five, range(20), 2))
