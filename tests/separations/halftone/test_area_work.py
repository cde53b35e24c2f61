"""Drawn areas on the film bitmap: widths to a pixel, clean of halftone, tints of the ink's dots."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely import Polygon, affinity, box

from preflight.frames.raster_grid import RasterGrid
from preflight.press.halftone_spec import HalftoneSpec
from preflight.vector_art.flattening import Subpath, arc
from preflight.vector_art.strokes import Pen, stroke_area
from separations.halftone.film_bands import dots_in, film_bands
from separations.halftone.film_content import FilmArea, FilmContent

DPI = 1440.0
PIXEL_MM = 25.4 / DPI
GRID = RasterGrid(top_x_mm=6, left_y_mm=6, pixel_mm=PIXEL_MM, rows=680, columns=681)


def film(*drawn: FilmArea, tone: float = 0.3, shape: str = "elliptical") -> FilmContent:
    spec = HalftoneSpec(ruling_lpcm=17.7, angle_deg=22.5, dot_shape=shape,
                        film_dpi=DPI, smallest_tone=0.02, largest_tone=0.98, small_dots="thin",
                        stochastic_dot_um=100.0, pattern=0)
    tones = np.full((2, 2), round(tone * 65_535), np.uint16)
    return FilmContent(tones=tones, tone_grid=replace(GRID, pixel_mm=12.1, rows=2, columns=2),
                       film_grid=GRID, spec=spec, lines=drawn)


def dots(content: FilmContent) -> np.ndarray:
    return dots_in(content, 0, GRID.rows, 0, GRID.columns)


@pytest.mark.parametrize("width_mm", [0.05, 0.1, 0.2, 0.45])
@pytest.mark.parametrize("turn_deg", [0, 22.5, 45, 90, 117])
def test_a_stroke_measures_its_width_and_so_does_a_gap(width_mm: float, turn_deg: float) -> None:
    line = np.array([[-4.0, 0.003], [4.0, 0.003]])
    area = affinity.rotate(stroke_area([Subpath(points=line, closed=False)],
                                       Pen(width=width_mm), 1e-3), turn_deg, origin=(0, 0))
    solid = dots(film(FilmArea(area=area, action="print"), tone=0.0))
    cleared = ~dots(film(FilmArea(area=area, action="knock out"), tone=1.0))
    assert np.array_equal(solid, cleared)
    # Along many cuts across the line: pixels in a row or column, turned to a width across it.
    lies_along_x = abs(math.cos(math.radians(turn_deg))) > 0.7
    cuts = solid[250:430] if lies_along_x else solid[:, 250:430].T
    slant = max(abs(math.cos(math.radians(turn_deg))), abs(math.sin(math.radians(turn_deg))))
    widths_px = cuts.sum(axis=1) * slant
    assert np.abs(widths_px - width_mm / PIXEL_MM).max() <= 1.0
    if turn_deg % 90:  # else every cut is the same whole number
        assert np.mean(widths_px) == pytest.approx(width_mm / PIXEL_MM, abs=0.1)


@pytest.mark.parametrize("shape", ["elliptical", "round", "stochastic"])
def test_line_work_is_clean_of_halftone(shape: str) -> None:
    area = Polygon(arc((0, 0), (3, 0), (0, 3), (0, 2 * math.pi), 1e-3))
    bare = dots(film(shape=shape))
    printed, cleared = (dots(film(FilmArea(area=area, action=action), shape=shape))
                        for action in ("print", "knock out"))
    x, y = np.meshgrid(GRID.row_centres_x_mm(), GRID.column_centres_y_mm(), indexing="ij")
    inside = x**2 + y**2 < 9
    sure = np.abs(np.hypot(x, y) - 3) > 0.002
    assert np.array_equal(printed[sure], (bare | inside)[sure])
    assert np.array_equal(cleared[sure], (bare & ~inside)[sure])


@pytest.mark.parametrize("shape", ["elliptical", "round", "stochastic"])
@pytest.mark.parametrize("tone", [0.1, 0.4, 0.75])
def test_a_tint_takes_the_inks_own_dots(shape: str, tone: float) -> None:
    area = box(-4, -3, 4, 5)
    drawn = dots(film(FilmArea(area=area, action="print", tone=tone), tone=0.0, shape=shape))
    everywhere = dots(film(tone=tone, shape=shape))
    inside = dots(film(FilmArea(area=area, action="print"), tone=0.0))
    assert np.array_equal(drawn, everywhere & inside)
    assert drawn[inside].mean() == pytest.approx(tone, abs=0.02)


def test_bands_and_crops_have_the_same_bits() -> None:
    area = affinity.rotate(box(-4, -3, 4, 3), 31).difference(box(-1, -1, 1, 2))
    content = film(FilmArea(area=area, action="knock out"),
                   FilmArea(area=area.buffer(-0.5), action="print", tone=0.5))
    whole = np.vstack(list(film_bands(content, 512, workers=1)))
    for rows, workers in ((1, 2), (37, 2), (680, 1)):
        assert np.array_equal(np.vstack(list(film_bands(content, rows, workers=workers))), whole)
    bits = np.unpackbits(whole, axis=1)[:, :GRID.columns].astype(bool)
    assert np.array_equal(dots_in(content, 113, 555, 203, 661), bits[113:555, 203:661])
