"""Kubelka-Munk films: numbers that follow from the published formulas.

Sources: Kubelka and Munk 1931, Kubelka 1948 for the hyperbolic solution (scope as ISO 18314-2).
The numbers follow from that solution: reflectance at full thickness 0.88, white backing 0.80.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from separations.colour import kubelka_munk as km

ROWS = [(1, 0.49661, 0.82217), (2, 0.65829, 0.83742), (4, 0.78142, 0.85609), (8, 0.85164, 0.87191)]


def film_reflectance(infinite: float, scattering: float, backing: float) -> float:
    """Of a film over a backing, from its reflectance at full thickness and S X: Kubelka 1948."""
    a = (1.0 / infinite + infinite) / 2.0
    b = math.sqrt(a * a - 1.0)
    slope = b / math.tanh(b * scattering)
    return (1.0 - backing * (a - slope)) / (a - backing + slope)


@pytest.mark.parametrize(("scattering", "dark", "light"), ROWS)
def test_reflectance_and_transmittance_say_the_same(scattering: float, dark: float,
                                                    light: float) -> None:
    through = km.film_transmittance(dark, light, 0.80)
    assert float(km.over(dark, through, 0.80)) == pytest.approx(light, abs=1e-9)
    assert float(km.over(dark, through, 0.35)) == pytest.approx(
        film_reflectance(0.88, scattering, 0.35), abs=2e-5)


def test_two_films_are_one_of_twice_the_thickness() -> None:
    dark = film_reflectance(0.88, 4.0, 0.0)
    through = km.film_transmittance(dark, film_reflectance(0.88, 4.0, 0.8), 0.8)
    twice_dark, twice_through = km.at_thickness(dark, through, 2.0)
    assert float(twice_dark) == pytest.approx(0.85164, abs=6e-6)
    assert float(km.over(twice_dark, twice_through, 0.8)) == pytest.approx(0.87191, abs=6e-6)
    assert float(km.over(dark, through, km.over(dark, through, 0.3))) == pytest.approx(
        float(km.over(twice_dark, twice_through, 0.3)), abs=1e-9)


def test_a_clear_film_follows_bouguer() -> None:
    dark, through = km.at_thickness(np.array([0.0, 1e-5]), np.array([0.6, 0.6]), 2.0)
    assert through == pytest.approx([0.36, 0.36], abs=1e-4)
    assert dark == pytest.approx([0.0, 1e-5 * (1 + 0.36)], abs=1e-6)
