"""Coverage of flat tints on the film, counted pixel by pixel.

Checked against the definition of tone value (ISO 12637-1: the share of the surface covered by
dots; wording from memory): a film tint asked for at t covers t of a large patch, at the screen
angles of a published straight-mesh set (Sefar Q&A, Article 6566569: 7.5, 22.5, 52.5, 82.5) and
at 0°, where cells are a whole number of pixels.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.signal.windows import blackmanharris

from preflight.frames.raster_grid import RasterGrid
from preflight.press.dot_shapes import DOT_SHAPES
from preflight.press.halftone_spec import DotShape, HalftoneSpec
from separations.halftone.film_bands import dots_in, film_bands
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


@pytest.mark.parametrize("shape", DOT_SHAPES)
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


#: 26 tones; more of them where dots are small and where they meet.
TONES = (0.5, 1, 2, 3, 4, 5, 8, 12, 16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 66, 72, 78, 84, 90, 95,
         97, 99)
#: Of a set that clears the mesh; along the pixels' diagonal; and one whose tangent, √2 / 3, no
#: ratio of whole numbers gives.
ANGLES = (7.5, 45.0, math.degrees(math.atan(math.sqrt(2) / 3)))


def _mean_cover(spec: HalftoneSpec, tone: float, side: int, *, flat: bool) -> float:
    """Mean cover under a window that fades out, so that dots cut by the patch's edge hardly count.

    Flat tints have their dots drawn; where tones one step apart take turns, dots are cut at pixel
    centres, as in photographs.
    """
    pixel_mm = 25.4 / spec.film_dpi
    film = RasterGrid(top_x_mm=31.0, left_y_mm=-4.0, pixel_mm=pixel_mm, rows=side, columns=side)
    tones = np.full((side, side), round(tone * 65535), np.uint16)
    if not flat:
        tones += (np.indices(tones.shape).sum(axis=0) % 2).astype(np.uint16)
    bits = dots_in(FilmContent(tones=tones, tone_grid=film, film_grid=film, spec=spec),
                   0, side, 0, side)
    window = (blackmanharris(side) / blackmanharris(side).sum()).astype(np.float32)
    return float(window @ bits.astype(np.float32) @ window)


def _check_all_tones(shape: str, lpi: float, angle_deg: float, dpi: float, *, flat: bool) -> None:
    """Within 0.05 % at each of the tones, over some forty cells each way, and 3200 cut pixels.

    Dots that are cut meet the pixels in a beat, which a smaller patch does not see through.
    """
    spec = HalftoneSpec(ruling_lpcm=lpi / 2.54, angle_deg=angle_deg, dot_shape=shape, film_dpi=dpi)
    side = max(1000 if flat else 3200, round(40 * spec.cell_pixels))
    for percent in TONES:
        found = _mean_cover(spec, percent / 100, side, flat=flat) * 100
        assert found == pytest.approx(percent, abs=0.05), percent


@pytest.mark.parametrize(("lpi", "angle_deg", "dpi", "flat"), [
    (45, ANGLES[2], 1440, True), (65, 45.0, 720, True),
    pytest.param(35, 7.5, 720, False, marks=pytest.mark.long)])
@pytest.mark.parametrize("shape", ["euclidean", "diamond"])
def test_ranked_shapes_cover_what_was_asked(
        shape: DotShape, lpi: float, angle_deg: float, dpi: float, flat: bool) -> None:
    _check_all_tones(shape, lpi, angle_deg, dpi, flat=flat)


@pytest.mark.long
@pytest.mark.parametrize("flat", [True, False])
@pytest.mark.parametrize("dpi", [720, 1440, 2400, 2880])
@pytest.mark.parametrize("lpi", [35, 45, 55, 65])
@pytest.mark.parametrize("angle_deg", ANGLES)
@pytest.mark.parametrize("shape", DOT_SHAPES)
def test_every_shape_covers_what_was_asked_at_any_ruling_angle_and_resolution(
        shape: DotShape, angle_deg: float, lpi: float, dpi: float, flat: bool) -> None:
    if angle_deg == 45.0 and not flat:
        pytest.skip("along the pixels' diagonal cut dots beat more slowly than any patch is long")
    _check_all_tones(shape, lpi, angle_deg, dpi, flat=flat)
