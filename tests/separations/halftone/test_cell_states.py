"""Fades of whole dots: mean tones kept, no dot under the smallest, no contour, no seams."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter, gaussian_filter1d, label

from preflight.frames.raster_grid import grid_over
from preflight.press.halftone_spec import DotShape, HalftoneSpec
from separations.colour.colorimetry import colour_difference, lab_to_xyz, xyz_to_lab
from separations.halftone import cell_states
from separations.halftone.cell_lattice import origin_mm
from separations.halftone.cell_states_kernel import tone_ranges
from separations.halftone.film_bands import dots_in, film_bands
from separations.halftone.film_content import FilmContent
from separations.halftone.screening import prepare
from separations.halftone.tone_levels import held_ends

Build = Callable[..., FilmContent]
SMALLEST = 0.0173


def _spec(shape: DotShape = "elliptical", angle_deg: float = 22.5) -> HalftoneSpec:
    return HalftoneSpec(ruling_lpcm=45 / 2.54, angle_deg=angle_deg, dot_shape=shape,
                        film_dpi=1440, smallest_tone=SMALLEST, largest_tone=1 - SMALLEST,
                        small_dots="thin")


def _film(spec: HalftoneSpec, tones: NDArray[np.uint16], ppi: float) -> FilmContent:
    pixel_mm = 25.4 / ppi
    bounds = (-20.0, 5.0, -20.0 + tones.shape[0] * pixel_mm, 5.0 + tones.shape[1] * pixel_mm)
    return FilmContent(tones=tones, tone_grid=grid_over(bounds, pixel_mm),
                       film_grid=grid_over(bounds, 25.4 / spec.film_dpi), spec=spec)


def _bits(content: FilmContent) -> NDArray[np.bool_]:
    packed = np.concatenate(list(film_bands(content)))
    return np.unpackbits(packed, axis=1)[:, :content.film_grid.columns].astype(bool)


def _whole_areas(bits: NDArray[np.bool_]) -> NDArray[np.intp]:
    """Areas of the connected dots that do not touch the edge."""
    dots, _ = label(bits)
    areas = np.bincount(dots.ravel())
    edge = np.concatenate([dots[0], dots[-1], dots[:, 0], dots[:, -1]])
    areas[np.append(edge, 0)] = 0
    return np.asarray(areas[areas > 0])


@pytest.mark.parametrize("shape", ["round", "elliptical", "square", "euclidean", "diamond"])
@pytest.mark.parametrize("angle_deg", [0.0, 22.5])
def test_mean_tones_are_kept_in_whole_smallest_dots(shape: DotShape, angle_deg: float) -> None:
    spec = _spec(shape, angle_deg)
    tone = held_ends(spec).smallest
    radius = np.sqrt(tone / np.pi) * spec.cell_pixels
    rim = np.pi * radius**2 - np.pi * (radius - 0.5) ** 2
    for percent in (0.2, 0.5, 1.0, 1.6, 98.4, 99.0, 99.5, 99.8):
        bits = _bits(_film(spec, np.full((200, 200), round(percent * 655.35), np.uint16), 100))
        assert bits.mean() * 100 == pytest.approx(percent, abs=0.015), percent
        areas = _whole_areas(bits if percent < 50 else ~bits)
        smallest = tone * spec.cell_pixels**2
        assert abs(areas - smallest).max() < rim, percent
        assert len(areas) < bits.size / spec.cell_pixels**2 * percent / 100 / tone * 1.05 \
            or percent > 50


@pytest.mark.parametrize("percent", [1.8, 3.0, 50.0, 97.0, 98.2])
def test_tones_that_print_are_as_without_thinning(percent: float) -> None:
    thin = _film(_spec(), np.full((50, 50), round(percent * 655.35), np.uint16), 100)
    plain = FilmContent(tones=thin.tones, tone_grid=thin.tone_grid, film_grid=thin.film_grid,
                        spec=HalftoneSpec(ruling_lpcm=45 / 2.54, angle_deg=22.5, film_dpi=1440,
                                          dot_shape="elliptical"))
    np.testing.assert_array_equal(_bits(thin), _bits(plain))


def _ramp(spec: HalftoneSpec, low: float, high: float) -> tuple[NDArray[np.float64], ...]:
    """Profile of a ramp's coverage along 300 mm, evened over 3 mm, and the tones asked."""
    rows, columns = 2360, 240
    ramp = np.linspace(low, high, rows)
    tones = np.repeat(np.rint(ramp * 65535).astype(np.uint16)[:, None], columns, axis=1)
    content = _film(spec, tones, 200)
    inked = np.concatenate([np.bitwise_count(band).sum(axis=1)
                            for band in film_bands(content)]) / content.film_grid.columns
    pixel_mm = content.film_grid.pixel_mm
    places = np.linspace(0, rows - 1, len(inked))
    inner = slice(round(9 / pixel_mm), -round(9 / pixel_mm), round(0.5 / pixel_mm))
    return (gaussian_filter1d(inked, 3 / pixel_mm)[inner],
            np.interp(places, np.arange(rows), ramp)[inner])


def _lab(tone: NDArray[np.float64]) -> NDArray[np.float64]:
    """Colour of a tint of a black on wood (both invented), by area."""
    wood, black = lab_to_xyz(np.array([[74.0, 6.0, 26.0], [18.0, 2.0, 3.0]]))
    return xyz_to_lab(wood * (1 - tone[:, None]) + black * tone[:, None])


@pytest.mark.parametrize(("low", "high"), [(0.0, 0.05), (0.95, 1.0)])
def test_ramps_end_without_a_contour(low: float, high: float) -> None:
    found, asked = _ramp(_spec(), low, high)
    assert (np.diff(found) > 0).all()
    assert np.abs(found - asked).max() < 3e-4
    assert colour_difference(_lab(found), _lab(asked)).max() < 0.05


def test_the_contour_that_is_avoided_is_one_that_would_be_seen() -> None:
    dropped = HalftoneSpec(ruling_lpcm=45 / 2.54, angle_deg=22.5, dot_shape="elliptical",
                           film_dpi=1440, smallest_tone=SMALLEST, largest_tone=1 - SMALLEST)
    found, asked = _ramp(dropped, 0.95, 1.0)
    assert colour_difference(_lab(found), _lab(asked)).max() > 1.0


def _fading(photo_film: Build, **spec: object) -> FilmContent:
    """Random tones, a third of them pushed to either end of the scale."""
    film = photo_film(smallest_tone=0.05, largest_tone=0.95, small_dots="thin", **spec)
    ends = np.where(film.tones < 22_000, film.tones // 7,
                    np.where(film.tones > 44_000, 65_535 - (65_535 - film.tones) // 7, film.tones))
    return FilmContent(tones=ends.astype(np.uint16), tone_grid=film.tone_grid,
                       film_grid=film.film_grid, spec=film.spec)


@pytest.mark.parametrize("shape", ["elliptical", "square", "diamond"])
def test_bands_workers_and_crops_do_not_change_a_bit(photo_film: Build, shape: DotShape) -> None:
    film = _fading(photo_film, dot_shape=shape)
    whole = np.concatenate(list(film_bands(film, workers=1)))
    for rows_per_band, workers in ((1, 2), (7, 1), (64, 3), (100_000, 2)):
        again = np.concatenate(list(film_bands(film, rows_per_band, workers=workers)))
        np.testing.assert_array_equal(again, whole)
    bits = np.unpackbits(whole, axis=1).astype(bool)
    prepared, grid = prepare(film), film.film_grid
    rng = np.random.default_rng(4)
    for _ in range(40):
        top, left = int(rng.integers(grid.rows - 90)), int(rng.integers(grid.columns - 90))
        right = int(rng.integers(left + 1, grid.columns + 1))
        np.testing.assert_array_equal(dots_in(prepared, top, top + 90, left, right),
                                      bits[top:top + 90, left:right])


def test_no_dot_or_hole_in_a_smooth_picture_is_under_the_smallest() -> None:
    rng = np.random.default_rng(9)
    shapes = gaussian_filter(rng.normal(size=(400, 300)), 14)
    tones = np.rint((0.5 + shapes / np.abs(shapes).max() / 1.6) * 65535).clip(0, 65535)
    bits = _bits(_film(_spec("round"), tones.astype(np.uint16), 150))
    smallest = SMALLEST * _spec().cell_pixels**2
    for areas in (_whole_areas(bits), _whole_areas(~bits)):
        assert len(areas) > 300
        assert areas.min() > 0.75 * smallest


def test_a_dot_across_the_edge_of_bare_art_is_whole() -> None:
    """Tones fall from 10 % to nothing across one plane pixel: dots stay whole or go."""
    tones = np.zeros((200, 200), np.uint16)
    tones[:100] = 6554
    bits = _bits(_film(_spec("round"), tones, 200))
    assert _whole_areas(bits).min() > 0.7 * SMALLEST * _spec().cell_pixels**2


def test_films_on_two_grids_keep_the_same_cells() -> None:
    """A film that starts elsewhere by whole pixels shows the same dots at the same places."""
    spec = _spec()
    tones = np.full((40, 40), 500, np.uint16)
    one = _film(spec, tones, 50)
    grid = one.film_grid
    other = FilmContent(tones=tones, tone_grid=one.tone_grid, spec=spec,
                        film_grid=grid.band(100, grid.rows))
    assert origin_mm(grid) == pytest.approx(origin_mm(other.film_grid), abs=1e-9)
    assert (_bits(one)[100:] != _bits(other)).mean() < 1e-4


@pytest.mark.parametrize("block", [1, 3, 7, 40])
def test_blocks_know_the_ends_of_their_tones(block: int) -> None:
    tones = np.random.default_rng(block).integers(0, 65536, (37, 29)).astype(np.uint16)
    counts = [-(-many // block) for many in tones.shape]
    lows, highs = np.empty((2, *counts), np.uint16)
    tone_ranges(tones, block, np.empty((2, 29), np.uint16), lows, highs)
    for r, c in np.ndindex(*counts):
        part = tones[r * block:(r + 1) * block, c * block:(c + 1) * block]
        assert (lows[r, c], highs[r, c]) == (part.min(), part.max())


@pytest.mark.parametrize("seed", [3, 4, 5])
def test_blocks_that_need_no_look_hold_no_dot_that_goes(
        photo_film: Build, monkeypatch: pytest.MonkeyPatch, seed: int) -> None:
    film = photo_film(seed=seed, smallest_tone=0.08, largest_tone=0.9, small_dots="thin")
    told = cell_states.cell_states(film)
    monkeypatch.setattr(cell_states, "_tone_ranges", lambda tones, block: (
        np.zeros([-(-many // block) for many in tones.shape], np.uint16),
        np.full([-(-many // block) for many in tones.shape], 65_535, np.uint16)))
    looked_at = cell_states.cell_states(film)
    np.testing.assert_array_equal(told.cells, looked_at.cells)
    np.testing.assert_array_equal(told.marks, looked_at.marks)
    gone = told.cells != told.cells.max()
    assert 0.02 < gone.mean() < 0.9
