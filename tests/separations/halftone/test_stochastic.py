"""Scattered dots: coverage, least widths, spectrum, and the same dots whatever is asked for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.frames.raster_grid import RasterGrid
from preflight.press.halftone_spec import HalftoneSpec
from separations.halftone.film_bands import dots_in, film_bands
from separations.halftone.film_content import FilmContent
from separations.halftone.screening import prepare
from separations.halftone.stochastic import Scatter

Build = Callable[..., FilmContent]
DOT_UM = 150.0


def _spec(dot_um: float = DOT_UM, pattern: int = 0) -> HalftoneSpec:
    return HalftoneSpec(ruling_lpcm=45 / 2.54, angle_deg=22.5, dot_shape="stochastic",
                        film_dpi=1440, stochastic_dot_um=dot_um, pattern=pattern)


def _tint(percent: float, spec: HalftoneSpec, side: int = 3200) -> NDArray[np.bool_]:
    pixel_mm = 25.4 / spec.film_dpi
    film = RasterGrid(top_x_mm=-31.0, left_y_mm=74.0, pixel_mm=pixel_mm, rows=side, columns=side)
    plane = RasterGrid(top_x_mm=-31.0, left_y_mm=74.0, pixel_mm=pixel_mm * side / 4, rows=4,
                       columns=4)
    return dots_in(FilmContent(tones=np.full((4, 4), round(percent * 655.35), np.uint16),
                               tone_grid=plane, film_grid=film, spec=spec), 0, side, 0, side)


@pytest.mark.parametrize("dot_um", [100.0, 150.0, 200.0, 280.0])
def test_tints_cover_what_was_asked(dot_um: float) -> None:
    for percent in (0.5, 1, 2, 5, 10, 20, 35, 50, 65, 80, 90, 95, 98, 99, 99.5):
        found = _tint(percent, _spec(dot_um)).mean() * 100
        assert found == pytest.approx(percent, abs=0.1), percent
    for percent, all_of_it in ((0, 0.0), (100, 1.0)):
        assert _tint(percent, _spec(dot_um), 400).mean() == all_of_it


def _farthest_from_a_disc(ink: NDArray[np.bool_], diameter: float) -> float:
    """How far (pixels) any ink lies outside all discs of that diameter that fit into the ink.

    A disc counts as fitting where its middle is within 0.75 of a pixel of where it would: no
    pixel's centre need be nearer to the middle of a dot.
    """
    depth = cv2.distanceTransform(ink.astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    middles = depth >= diameter / 2 - 0.75
    from_middle = cv2.distanceTransform((~middles).astype(np.uint8), cv2.DIST_L2,
                                        cv2.DIST_MASK_PRECISE)
    inner = np.zeros_like(ink)
    inner[100:-100, 100:-100] = True
    return float((from_middle - diameter / 2)[inner & ink].max())


@pytest.mark.parametrize("percent", [1, 10, 30, 50, 70, 90, 99])
@pytest.mark.parametrize(("dot_um", "dpi"), [(100.0, 1440.0), (150.0, 1440.0), (280.0, 1440.0),
                                             (150.0, 5760.0)])
def test_no_dot_gap_or_neck_is_narrower_than_asked(percent: float, dot_um: float,
                                                   dpi: float) -> None:
    """All ink, and all film without, lies in discs as wide as asked, but for the six corners."""
    bits = _tint(percent, replace(_spec(dot_um), film_dpi=dpi), 1600)
    diameter = dot_um / (25_400 / dpi)
    corners = diameter / 2 * (2 / np.sqrt(3) - 1)
    for ink in (bits, ~bits):
        assert _farthest_from_a_disc(ink, diameter) < corners + 1.0


def test_narrower_dots_would_be_noticed() -> None:
    bits = _tint(50, _spec(125.0), 1600)
    diameter = DOT_UM / (25_400 / 1440)
    assert _farthest_from_a_disc(bits, diameter) > 0.08 * diameter + 1.0


def _power(bits: NDArray[np.bool_]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Frequencies, in dots' widths, and the power there."""
    side = len(bits)
    window = np.hanning(side)[:, None] * np.hanning(side)
    power = np.abs(np.fft.rfft2((bits - bits.mean()) * window)) ** 2
    frequency = np.hypot(np.fft.fftfreq(side)[:, None], np.fft.rfftfreq(side))
    return frequency * DOT_UM / (25_400 / 1440), power


@pytest.mark.parametrize("percent", [2, 10, 30, 50, 80, 97])
def test_the_spectrum_is_blue(percent: float) -> None:
    """At low frequencies far less power than dots as many, as big, thrown at random."""
    side, share = 1600, min(percent, 100 - percent) / 100
    film = RasterGrid(top_x_mm=9.0, left_y_mm=9.0, pixel_mm=25.4 / 1440, rows=side, columns=side)
    plane = RasterGrid(top_x_mm=9.0, left_y_mm=9.0, pixel_mm=25.4 / 1440 * side, rows=1, columns=1)
    ours = prepare(FilmContent(tones=np.full((1, 1), round(percent * 655.35), np.uint16),
                               tone_grid=plane, film_grid=film, spec=_spec()))
    assert isinstance(ours.tones, Scatter)
    mixed = np.random.default_rng(2).permutation(ours.tones.thresholds.ravel())
    thrown = replace(ours, tones=ours.tones._replace(thresholds=mixed.reshape(256, 256)))
    frequency, power = _power(dots_in(ours, 0, side, 0, side))
    _, white = _power(dots_in(thrown, 0, side, 0, side))
    low = (frequency > 20 / side) & (frequency < np.sqrt(share) / 4)
    dots = (frequency > 0.8 * np.sqrt(share)) & (frequency < 1.2 * np.sqrt(share))
    assert power[low].mean() < 0.08 * white[low].mean()
    assert power[dots].mean() > 0.7 * white[dots].mean()


@pytest.mark.parametrize("dot_um", [150.0, 200.0])
@pytest.mark.parametrize("percent", [5, 10, 20, 50, 80, 90, 95])
def test_low_frequencies_lie_twelve_decibels_under_the_peak(dot_um: float, percent: float) -> None:
    """Rings of the power spectrum a tenth of a line per mm wide, up to a third of the peak's."""
    bits = _tint(percent, _spec(dot_um), 4096)
    power = np.abs(np.fft.fft2(bits - bits.mean())) ** 2
    per_mm = np.fft.fftfreq(len(bits), 25.4 / 1440)
    ring = np.floor(np.hypot(per_mm[:, None], per_mm) * 10).astype(int).ravel()
    rings = (np.bincount(ring, power.ravel()) / np.bincount(ring))[1:60]
    peak = int(rings.argmax())
    low = rings[:peak // 3]
    assert 10 * np.log10(rings[peak] / low.mean()) > 12


def test_bands_workers_and_crops_do_not_change_a_bit(photo_film: Build) -> None:
    film = photo_film(dot_shape="stochastic", stochastic_dot_um=170.0)
    whole = np.concatenate(list(film_bands(film, workers=1)))
    for rows_per_band, workers in ((1, 2), (7, 1), (64, 3), (100_000, 2)):
        again = np.concatenate(list(film_bands(film, rows_per_band, workers=workers)))
        np.testing.assert_array_equal(again, whole)
    bits = np.unpackbits(whole, axis=1).astype(bool)
    assert not bits[:, film.film_grid.columns:].any()
    prepared, grid = prepare(film), film.film_grid
    rng = np.random.default_rng(4)
    for _ in range(40):
        top, left = int(rng.integers(grid.rows - 90)), int(rng.integers(grid.columns - 1))
        right = int(rng.integers(left + 1, grid.columns + 1))
        np.testing.assert_array_equal(dots_in(prepared, top, top + 90, left, right),
                                      bits[top:top + 90, left:right])


def test_tones_follow_the_picture(photo_film: Build) -> None:
    film = photo_film(dot_shape="stochastic", stochastic_dot_um=100.0)
    bits = np.unpackbits(np.concatenate(list(film_bands(film))), axis=1)[:, :film.film_grid.columns]
    size = (6, 8)
    found, asked = (cv2.resize(plane.astype(np.float32), size, interpolation=cv2.INTER_AREA)
                    for plane in (bits, film.tones / 65535))
    assert np.abs(found - asked).max() < 0.02


def test_two_inks_fall_on_each_other_as_chance_has_it() -> None:
    one, other = _tint(40, _spec(pattern=0)), _tint(40, _spec(pattern=1))
    assert (one & other).mean() == pytest.approx(0.16, abs=0.005)
    assert (one & _tint(40, _spec(pattern=0))).mean() == pytest.approx(0.4, abs=0.001)


def test_dots_of_less_than_two_pixels_are_refused(photo_film: Build) -> None:
    with pytest.raises(ValueError, match="two film pixels"):
        prepare(photo_film(dot_shape="stochastic", stochastic_dot_um=30.0))
