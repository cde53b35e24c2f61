"""A film larger than its print: measured on the rendered page, at marks and at edges of the art.

Distances are taken between places on the page, so that nothing of the layout is presumed.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.signal.windows import blackmanharris
from shapely.geometry import box

from preflight.board.area_mask import row_spans
from preflight.frames.film_scale import FilmScale
from preflight.frames.raster_grid import RasterGrid, grid_over
from preflight.frames.tiled_plane import tiled
from preflight.press.halftone_spec import DotShape, HalftoneSpec
from separations.films.film_label import FilmLabel
from separations.films.film_pdf import write_film
from separations.films.film_sheet import Box, FilmSheet, film_sheet
from separations.films.marks import GAP_MM, RING_MM
from separations.films.page_rendering import rendered_page
from separations.films.read_back import read_back
from separations.halftone.film_bands import dots_in
from separations.halftone.film_content import FilmContent, FilmLines

SCALE = FilmScale(1.002, 0.998)
HALF_LENGTH, HALF_WIDTH = 200.0, 40.0
BOUNDS = (-HALF_LENGTH, -HALF_WIDTH, HALF_LENGTH, HALF_WIDTH)
DPI = 600.0
PIXEL = 25.4 / DPI


def _sheet(scale: FilmScale = SCALE) -> FilmSheet:
    return film_sheet(BOUNDS, (8 - HALF_LENGTH, 8 - HALF_WIDTH, HALF_LENGTH - 8, HALF_WIDTH - 8),
                      DPI, scale=scale)


def _content(sheet: FilmSheet) -> FilmContent:
    """Solid to half its length, then bare with a drawn block."""
    plane = grid_over(BOUNDS, 25.4 / 150)
    tones = np.zeros((plane.rows, plane.columns), np.uint16)
    tones[:plane.rows // 2] = 65535
    drawn = np.zeros((plane.rows, plane.columns), np.uint8)
    drawn[plane.rows * 65 // 100:plane.rows * 95 // 100] = 255
    return FilmContent(
        tones=tones, tone_grid=plane, film_grid=sheet.art_grid, scale=sheet.scale,
        spec=HalftoneSpec(ruling_lpcm=18.0, angle_deg=22.5, dot_shape="elliptical", film_dpi=DPI),
        spans=row_spans(sheet.scale.grown(box(*BOUNDS)), sheet.art_grid),
        lines=(FilmLines(plane=tiled(drawn), grid=plane, action="print"),))


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> NDArray[np.bool_]:
    """The rendered page, True = ink."""
    sheet = _sheet()
    label = FilmLabel(job="Scaled", board="Test plank", ink="black", mesh="120-34",
                      ruling="45 lpi", film_number=1, film_count=1, date="2026-03-01")
    path: Path = tmp_path_factory.mktemp("film") / "film.pdf"
    content = _content(sheet)
    read_back(write_film(path, content, sheet, label), content, sheet)
    grid = sheet.page_grid
    with rendered_page(path, grid.columns, grid.rows) as rendered:
        return rendered.ink_in(Box(0, 0, grid.columns, grid.rows))


def _runs(dark: NDArray[np.bool_]) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], dark.astype(np.int8), [0]])))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def test_edges_of_the_art_and_of_lines_lie_where_the_factor_puts_them(
        page: NDArray[np.bool_]) -> None:
    middle = page.shape[1] // 2 + 200  # beside the centre line's targets
    runs = [(a, b) for a, b in _runs(page[:, middle]) if b - a > 1000]
    solid, drawn = runs
    plane = grid_over(BOUNDS, 25.4 / 150)
    bare, begun, ended = (HALF_LENGTH - plane.top_x_mm + row * plane.pixel_mm for row in (
        plane.rows // 2, plane.rows * 65 // 100, plane.rows * 95 // 100))
    for found, along_mm in ((solid[1], bare), (drawn[0], begun), (drawn[1], ended)):
        assert found - solid[0] == pytest.approx(along_mm * SCALE.along / PIXEL, abs=1)
    across = [(a, b) for a, b in _runs(page[(drawn[0] + drawn[1]) // 2]) if b - a > 1000]
    assert across[0][1] - across[0][0] == pytest.approx(80.0 * SCALE.across / PIXEL, abs=1)


def test_marks_lie_where_the_factor_puts_them(page: NDArray[np.bool_]) -> None:
    """Crosses of the corner targets: the longest dark stretches in the corners' margins."""
    arm, out = 9.0 / PIXEL * 0.9, GAP_MM + RING_MM / 2

    def strokes(dark: NDArray[np.bool_]) -> list[float]:
        long = [max((b - a for a, b in _runs(line)), default=0) for line in dark]
        return [(a + b) / 2 for a, b in _runs(np.array(long) > arm) if b - a < 12]

    corner = round(16.0 / PIXEL)
    ring = page[round(10.0 / PIXEL):round(26.0 / PIXEL)]
    half = page.shape[1] // 2 - corner
    left, middle, right = (first + strokes(ring[:, first:first + 2 * corner].T)[0]
                           for first in (0, half, page.shape[1] - corner))
    for found in (middle - left, right - middle):
        assert found == pytest.approx((HALF_WIDTH + out) * SCALE.across / PIXEL, abs=1)
    nose, *_, middle, tail = strokes(page[:, :corner])
    for found in (middle - nose, tail - middle):
        assert found == pytest.approx((HALF_LENGTH + out) * SCALE.along / PIXEL, abs=1)


def test_the_rule_marked_100_mm_is_longer_by_the_factor() -> None:
    for scale in (SCALE, FilmScale()):
        sheet = _sheet(scale)
        assert sheet.down(100.0) * PIXEL == pytest.approx(100 * scale.along, abs=PIXEL)
        assert sheet.over(100.0) * PIXEL == pytest.approx(100 * scale.across, abs=PIXEL)


@pytest.mark.parametrize("shape", ["elliptical", "stochastic"])
def test_a_flat_tint_is_the_very_same_dots_at_any_factor(shape: DotShape) -> None:
    plain, scaled = (_tint(scale, shape) for scale in (FilmScale(), SCALE))
    np.testing.assert_array_equal(plain, scaled)


def test_ruling_and_angle_hold_on_the_film() -> None:
    """As in tests/published/test_halftone_spectrum.py: the strongest frequency of the dots."""
    side = 1024
    tint = (_tint(SCALE, "elliptical", side) - 0.3) * np.outer(*[blackmanharris(side)] * 2)
    place = np.arange(side)

    def strength(frequency: NDArray[np.float64]) -> float:
        across = tint @ np.exp(-2j * np.pi * frequency[1] * place)
        return -float(abs(np.exp(-2j * np.pi * frequency[0] * place) @ across))

    spectrum = np.abs(np.fft.fft2(tint))
    spectrum[0, 0] = 0
    peak = np.unravel_index(spectrum[:, :side // 2].argmax(), (side, side // 2))
    start = np.array([np.fft.fftfreq(side)[peak[0]], np.fft.fftfreq(side)[peak[1]]])
    found = minimize(strength, start, method="Nelder-Mead", options={
        "xatol": 1e-8, "fatol": 1e-6,
        "initial_simplex": start + np.array([[0, 0], [2e-4, 0], [0, 2e-4]])})
    period = 10.0 / 18.0 / PIXEL
    assert math.hypot(*found.x) == pytest.approx(1 / period, rel=5e-4)
    found_deg = math.degrees(math.atan2(found.x[1], found.x[0]))
    assert min(abs((found_deg - turn + 90) % 180 - 90) for turn in (22.5, 112.5)) < 0.02


def test_the_scaled_picture_is_the_plain_one_moved() -> None:
    """A ramp's tone at a place of the film is the board's tone where that place prints."""
    plane = grid_over(BOUNDS, 25.4 / 150)
    ramp = np.linspace(0, 65535, plane.rows).astype(np.uint16)
    sheet = _sheet()
    content = FilmContent(
        tones=np.repeat(ramp[:, None], plane.columns, axis=1), tone_grid=plane,
        film_grid=sheet.art_grid, scale=SCALE,
        spec=HalftoneSpec(ruling_lpcm=18.0, angle_deg=0.0, dot_shape="round", film_dpi=DPI))
    grid = sheet.art_grid
    for x_mm in (-180.0, -90.0, 60.0, 170.0):
        row = round(grid.row_of(x_mm * SCALE.along))
        reach = round(10.0 / 18.0 * 9 / PIXEL)
        seen = dots_in(content, row - reach, row + reach, 100, grid.columns - 100).mean()
        assert seen == pytest.approx((HALF_LENGTH - x_mm) / (2 * HALF_LENGTH), abs=0.004)


def _tint(scale: FilmScale, shape: DotShape, side: int = 700) -> NDArray[np.bool_]:
    film = RasterGrid(top_x_mm=180.0, left_y_mm=30.0, pixel_mm=PIXEL, rows=side, columns=side)
    plane = grid_over((-220.0, -60.0, 220.0, 60.0), 5.0)
    content = FilmContent(
        tones=np.full((plane.rows, plane.columns), round(0.3 * 65535), np.uint16),
        tone_grid=plane, film_grid=film, scale=scale,
        spec=HalftoneSpec(ruling_lpcm=18.0, angle_deg=22.5, dot_shape=shape, film_dpi=DPI,
                          stochastic_dot_um=170.0))
    return dots_in(content, 0, side, 0, side)
