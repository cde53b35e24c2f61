"""Coverage of flat tints on the film, counted pixel by pixel.

Checked against the definition of tone value (ISO 12637-1: the share of the surface covered by
dots; wording from memory): a film tint asked for at t covers t of a large patch, at the screen
angles of a published straight-mesh set (Sefar Q&A, Article 6566569: 7.5, 22.5, 52.5, 82.5) and
at 0°, where cells are a whole number of pixels.
"""

from __future__ import annotations

import numpy as np
import pytest

from preflight.frames.raster_grid import RasterGrid
from preflight.press.halftone_spec import DOT_SHAPE_NAMES, DotShape, HalftoneSpec
from separations.halftone.film_bands import film_bands
from separations.halftone.film_content import FilmContent

PERCENT = (0.5, 1, 3, 5, 10, 15, 20, 30, 40, 45, 50, 55, 60, 70, 80, 85, 90, 95, 97, 99, 99.5)
SIDE = 3200


def _coverage(spec: HalftoneSpec, tone: float) -> float:
    pixel_mm = 25.4 / spec.film_dpi
    film = RasterGrid(top_x_mm=31.0, left_y_mm=-4.0, pixel_mm=pixel_mm, rows=SIDE, columns=SIDE)
    plane = RasterGrid(top_x_mm=31.0, left_y_mm=-4.0, pixel_mm=pixel_mm * SIDE / 4,
                       rows=4, columns=4)
    content = FilmContent(tones=np.full((4, 4), round(tone * 65535), np.uint16),
                          tone_grid=plane, film_grid=film, spec=spec)
    inked = sum(int(np.bitwise_count(band).sum()) for band in film_bands(content))
    return inked / SIDE**2


@pytest.mark.parametrize("shape", DOT_SHAPE_NAMES)
@pytest.mark.parametrize("angle_deg", [7.5, 22.5, 52.5, 82.5])
def test_tints_cover_what_was_asked(shape: DotShape, angle_deg: float) -> None:
    spec = HalftoneSpec(ruling_lpcm=45 / 2.54, angle_deg=angle_deg, dot_shape=shape,
                        film_dpi=1440)
    for percent in PERCENT:
        assert _coverage(spec, percent / 100) * 100 == pytest.approx(percent, abs=0.02), percent


@pytest.mark.parametrize("shape", ["round", "elliptical"])
@pytest.mark.parametrize("angle_deg", [0.0, 90.0])
@pytest.mark.parametrize("lpi", [45, 60, 65])
def test_tints_at_right_angles_are_as_near_as_a_cell_allows(
        shape: DotShape, angle_deg: float, lpi: float) -> None:
    spec = HalftoneSpec(ruling_lpcm=lpi / 2.54, angle_deg=angle_deg, dot_shape=shape,
                        film_dpi=1440)
    two_pixels_of_a_cell = 200 / spec.cell_pixels**2
    for percent in PERCENT:
        found = _coverage(spec, percent / 100) * 100
        assert found == pytest.approx(percent, abs=max(0.1, two_pixels_of_a_cell)), percent
