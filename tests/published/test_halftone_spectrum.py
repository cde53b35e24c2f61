"""Ruling, angle and purity of flat tints, from their Fourier spectrum.

The ruling and angle of a periodic screen are those of the shortest frequency of its dots
(definition in ISO 12637-1, wording from memory). Purity: a screen whose ruling and angle are
exact has no frequency below its ruling; what remains in 1-bit pixels is the folding of its own
harmonics at the pixel frequency. For round dots of radius r periods the harmonic of order k has
amplitude sqrt(r) / (π k^1.5) at most (the disc's spectrum, a Bessel function J1, for large k).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.signal.windows import blackmanharris

from preflight.halftone_spec import DotShape, HalftoneSpec
from preflight.raster_grid import RasterGrid
from separations.halftone.film_bands import dots_in
from separations.halftone.film_content import FilmContent

LPI = 45.0


def _tint(spec: HalftoneSpec, tone: float, side: int) -> NDArray[np.bool_]:
    pixel_mm = 25.4 / spec.film_dpi
    film = RasterGrid(top_x_mm=400.0, left_y_mm=90.0, pixel_mm=pixel_mm, rows=side, columns=side)
    plane = RasterGrid(top_x_mm=400.0, left_y_mm=90.0, pixel_mm=pixel_mm * side / 4,
                       rows=4, columns=4)
    content = FilmContent(tones=np.full((4, 4), round(tone * 65535), np.uint16),
                          tone_grid=plane, film_grid=film, spec=spec)
    return dots_in(content, 0, side, 0, side)


def _spec(shape: DotShape, angle_deg: float, dpi: float = 1440.0,
          lpi: float = LPI) -> HalftoneSpec:
    return HalftoneSpec(ruling_lpcm=lpi / 2.54, angle_deg=angle_deg, dot_shape=shape,
                        film_dpi=dpi)


@pytest.mark.parametrize(("shape", "angle_deg", "lpi"), [
    ("elliptical", 7.5, 45.0), ("round", 22.5, 45.0), ("elliptical", 52.5, 45.0),
    ("square", 82.5, 45.0), ("line", 22.5, 45.0), ("round", 22.5, 65.0), ("line", 7.5, 36.0)])
def test_ruling_and_angle_are_those_asked_for(shape: DotShape, angle_deg: float,
                                              lpi: float) -> None:
    side = 1024
    spec = _spec(shape, angle_deg, lpi=lpi)
    window = blackmanharris(side)
    tint = (_tint(spec, 0.3, side) - 0.3) * window[:, None] * window
    place = np.arange(side)

    def strength(frequency: NDArray[np.float64]) -> float:
        across = tint @ np.exp(-2j * np.pi * frequency[1] * place)
        return -float(abs(np.exp(-2j * np.pi * frequency[0] * place) @ across))

    spectrum = np.abs(np.fft.fft2(tint))
    spectrum[0, 0] = 0
    peak = np.unravel_index(spectrum[:, :side // 2].argmax(), (side, side // 2))
    start = np.array([np.fft.fftfreq(side)[peak[0]], np.fft.fftfreq(side)[peak[1]]])
    found = minimize(strength, start, method="Nelder-Mead",
                     options={"xatol": 1e-8, "fatol": 1e-6,
                              "initial_simplex": start + np.array([[0, 0], [2e-4, 0], [0, 2e-4]])})
    assert math.hypot(*found.x) == pytest.approx(1 / spec.cell_pixels, rel=5e-4)
    # Rows run down as x falls and columns right as y falls: both signs turn, the line does not.
    found_deg = math.degrees(math.atan2(found.x[1], found.x[0]))
    # Lines lie along the angle, so their frequency is that of v, a quarter turn on.
    asked = [angle_deg + 90.0] if shape == "line" else [angle_deg, angle_deg + 90.0]
    assert min(abs((found_deg - turn + 90) % 180 - 90) for turn in asked) < 0.01


@pytest.mark.parametrize("shape", ["round", "elliptical", "square", "line"])
@pytest.mark.parametrize("tone", [0.1, 0.3, 0.5, 0.75])
def test_no_frequency_below_the_ruling_is_in_the_dots_themselves(shape: DotShape,
                                                                 tone: float) -> None:
    """Pixels eight times finer than the film's, averaged to the film's, fold almost nothing."""
    finer, side = 8, 768
    fine = _tint(_spec(shape, 22.5, dpi=1440.0 * finer), tone, side * finer)
    film = fine.reshape(side, finer, side, finer).mean(axis=(1, 3))
    assert _strongest_below_ruling_db(film) < -60.0


@pytest.mark.parametrize("shape", ["round", "elliptical", "square"])
@pytest.mark.parametrize("angle_deg", [7.5, 22.5, 52.5, 82.5])
def test_folding_in_the_films_pixels_is_as_faint_as_a_discs_harmonics(
        shape: DotShape, angle_deg: float) -> None:
    """Relative to the tint's own dots; 32 film pixels a period put the harmonics at order 32."""
    for tone in (0.1, 0.3, 0.75):
        tint = _tint(_spec(shape, angle_deg), tone, 1024)
        assert _strongest_below_ruling_db(tint.astype(np.float64)) < -40.0


def _strongest_below_ruling_db(tint: NDArray[np.float64]) -> float:
    """Strongest amplitude below 0.9 rulings against the ruling's own, in dB (20 log10)."""
    side = len(tint)
    window = blackmanharris(side)
    spectrum = np.abs(np.fft.rfft2((tint - tint.mean()) * window[:, None] * window))
    rulings = np.hypot(np.fft.fftfreq(side)[:, None], np.fft.rfftfreq(side)) * 1440 / LPI
    ruling = spectrum[(rulings > 0.9) & (rulings < 1.1)].max()
    main_lobe = 5 / side * 1440 / LPI
    below = spectrum[(rulings < 0.9 - main_lobe) & (rulings > main_lobe)].max()
    return float(20 * np.log10(below / ruling))
