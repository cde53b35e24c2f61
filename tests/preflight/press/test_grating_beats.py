"""Beats by frequency vectors."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.press.grating_beats import Grating, gap_between_deg, strongest_beats


def test_two_rulings_at_one_angle_beat_at_their_difference() -> None:
    beats = strongest_beats(Grating(lines_per_cm=18, angle_deg=30),
                            Grating(lines_per_cm=20, angle_deg=30), longest_mm=1600,
                            greatest_order=2)
    assert beats[0].period_mm == pytest.approx(5.0)
    assert beats[0].direction_deg % 90 == pytest.approx(30.0)


def test_one_ruling_at_two_angles_beats_as_the_chord() -> None:
    beats = strongest_beats(Grating(lines_per_cm=20, angle_deg=0),
                            Grating(lines_per_cm=20, angle_deg=3), longest_mm=1600,
                            greatest_order=2)
    assert beats[0].period_mm == pytest.approx(0.5 / (2 * np.sin(np.radians(1.5))))


def test_equal_gratings_have_no_beat_and_long_ones_are_left_out() -> None:
    same = Grating(lines_per_cm=20, angle_deg=10)
    assert all(b.period_mm < 1 for b in strongest_beats(same, same, longest_mm=1600,
                                                        greatest_order=2))
    near = Grating(lines_per_cm=20.001, angle_deg=10)
    assert all(b.period_mm < 1 for b in strongest_beats(same, near, longest_mm=1600,
                                                        greatest_order=2))


def test_the_beat_is_where_a_spectrum_shows_it() -> None:
    """The lowest peak in the spectrum of two real line gratings multiplied together."""
    side, pixel_mm = 1024, 0.05
    x, y = np.meshgrid(*[(np.arange(side) - side / 2) * pixel_mm] * 2)

    def lines(per_cm: float, deg: float) -> NDArray[np.bool_]:
        u = x * np.cos(np.radians(deg)) + y * np.sin(np.radians(deg))
        return np.asarray(np.cos(2 * np.pi * u * per_cm / 10) > 0)

    window = np.outer(np.hanning(side), np.hanning(side))
    product = (lines(18, 7.5) & lines(15, 30.0)).astype(float)
    spectrum = np.abs(np.fft.fft2((product - product.mean()) * window))
    frequency = np.hypot(*np.meshgrid(*[np.fft.fftfreq(side, pixel_mm)] * 2))
    spectrum[(frequency < 0.2) | (frequency > 1.0)] = 0
    seen = 1 / frequency.flat[int(np.argmax(spectrum))]
    beats = strongest_beats(Grating(lines_per_cm=18, angle_deg=7.5, directions=1),
                            Grating(lines_per_cm=15, angle_deg=30.0, directions=1),
                            longest_mm=1600, greatest_order=2)
    assert beats[0].period_mm == pytest.approx(seen, rel=0.03)


@pytest.mark.parametrize(("one", "other", "gap"), [
    (7.5, 82.5, 15), (7.5, 22.5, 15), (22.5, 52.5, 30), (0, 180, 0), (-10, 100, 20)])
def test_gaps(one: float, other: float, gap: float) -> None:
    assert gap_between_deg(one, other) == pytest.approx(gap)
