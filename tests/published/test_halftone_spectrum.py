"""Ruling, angle and purity of flat tints, from their Fourier spectrum.

The ruling and angle of a periodic screen are those of the shortest frequency of its dots
(definition in ISO 12637-1, wording from memory). Purity: a screen whose ruling and angle are
exact has no frequency below its ruling; cut at the centres of 1-bit pixels, its own harmonics fold
at the pixel frequency. For round dots of radius r periods the harmonic of order k has amplitude
sqrt(r) / (π k^1.5) at most (the disc's spectrum, a Bessel function J1, for large k).

A peak here is the strongest amplitude in the disc below 0.9 rulings of a tint 8192 film pixels
square (144 mm at 1440 dpi), under a Blackman-Harris window, against the ruling's own amplitude.
What is left in flat tints is mostly a broad floor: dots are whole pixels, so that a dot of 20
pixels is up to half a pixel too large or small, one more than the next. Measured at one frequency
the floor sinks by 3 dB for each doubling of the tint's area, and a beat does not. Dots under 20
pixels and lines under one are not held to it: no mesh carries them, and they keep -49 to -60 dB.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.signal.windows import blackmanharris

from preflight.frames.raster_grid import RasterGrid
from preflight.press.halftone_spec import DotShape, HalftoneSpec
from separations.halftone.even_dots import no_even_dots
from separations.halftone.film_bands import dots_in
from separations.halftone.film_content import FilmContent, grid_of_four
from separations.halftone.screening import prepare

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


@pytest.mark.parametrize("shape", ["round", "elliptical", "square", "line", "euclidean", "diamond"])
@pytest.mark.parametrize("tone", [0.1, 0.3, 0.5, 0.75])
def test_no_frequency_below_the_ruling_is_in_the_dots_themselves(shape: DotShape,
                                                                 tone: float) -> None:
    """Pixels eight times finer than the film's, averaged to the film's, fold almost nothing."""
    finer, side = 8, 768
    fine = _tint(_spec(shape, 22.5, dpi=1440.0 * finer), tone, side * finer)
    film = fine.reshape(side, finer, side, finer).mean(axis=(1, 3))
    assert _strongest_below_ruling_db(film) < -60.0


@pytest.mark.parametrize(("shape", "angle_deg", "lpi", "tone"), [
    ("round", 22.5, 45.0, 0.3), ("elliptical", 7.5, 45.0, 0.03), ("elliptical", 82.5, 45.0, 0.5),
    ("elliptical", 52.5, 36.0, 0.97), ("square", 52.5, 45.0, 0.75), ("line", 22.5, 45.0, 0.1),
    ("round", 7.5, 65.0, 0.1), ("euclidean", 52.5, 45.0, 0.45), ("diamond", 7.5, 45.0, 0.35)])
def test_no_frequency_below_the_ruling_is_in_the_film_of_a_flat_tint(
        shape: DotShape, angle_deg: float, lpi: float, tone: float) -> None:
    peak_db, contrast = _beat(_spec(shape, angle_deg, lpi=lpi), tone)
    assert peak_db < -60.0
    assert contrast < 2e-3


@pytest.mark.long
def test_where_dots_are_cut_at_pixel_centres_their_harmonics_fold(
        monkeypatch: pytest.MonkeyPatch) -> None:
    """What drawing the dots of flat tints is for: a beat 30 dB stronger without it."""
    spec = _spec("square", 45.0, lpi=65.0)
    drawn_db, _ = _beat(spec, 0.3)
    monkeypatch.setattr("separations.halftone.screening.even_dots", lambda _: no_even_dots())
    cut_db, contrast = _beat(spec, 0.3)
    assert -30.0 < cut_db < -20.0
    assert cut_db > drawn_db + 30.0
    assert 0.03 < contrast < 0.07


def _beat(spec: HalftoneSpec, tone: float, side: int = 8192) -> tuple[float, float]:
    """The peak in dB (20 log10), and its amplitude as a share of the film's mean tone."""
    window = blackmanharris(side).astype(np.float32)
    most = int(1.25 * side / spec.cell_pixels)
    down, right = np.arange(-most, most + 1) / side, np.arange(most + 1) / side
    place = np.arange(side)
    columns = (np.exp(-2j * np.pi * np.outer(place, right)) * window[:, None]).astype(np.complex64)
    spectrum = np.zeros((len(down), len(right)), np.complex64)
    for first, strip in _strips(spec, tone, side):
        rows = place[first:first + len(strip)]
        waves = np.exp(-2j * np.pi * np.outer(down, rows)) * window[rows]
        across = strip @ columns.real + 1j * (strip @ columns.imag)
        spectrum += waves.astype(np.complex64) @ across
    strength = np.abs(spectrum)
    rulings = np.hypot(down[:, None], right) * spec.cell_pixels
    ruling = strength[(rulings > 0.9) & (rulings < 1.1)].max()
    main_lobe = 5 / side * spec.cell_pixels
    peak = strength[(rulings < 0.9 - main_lobe) & (rulings > main_lobe)].max()
    return (float(20 * np.log10(peak / ruling)),
            float(2 * peak / window.sum() ** 2 / tone))


def _strips(spec: HalftoneSpec, tone: float, side: int,
            rows: int = 512) -> Iterator[tuple[int, NDArray[np.float32]]]:
    pixel_mm = 25.4 / spec.film_dpi
    film = RasterGrid(top_x_mm=400.0, left_y_mm=90.0, pixel_mm=pixel_mm, rows=side, columns=side)
    ready = prepare(FilmContent(tones=np.full((2, 2), round(tone * 65535), np.uint16),
                                tone_grid=grid_of_four(film), film_grid=film, spec=spec))
    for first in range(0, side, rows):
        dots = dots_in(ready, first, first + rows, 0, side)
        yield first, dots.astype(np.float32) - np.float32(tone)


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
