"""Kubelka-Munk films: numbers that follow from the published formulas.

Sources: Kubelka and Munk 1931, Kubelka 1948 for the hyperbolic solution (scope as ISO 18314-2);
Allen 1980, eq. 19, for K/S. The numbers were computed from those formulas by other hands:
reflectance at full thickness 0.88, white backing 0.80. Contrast ratio as ISO 6504-1, from Y over
black and over white.
"""

from __future__ import annotations

import numpy as np
import pytest

from separations.colour import kubelka_munk as km

ROWS = [(1, 0.49661, 0.82217, 0.60402), (2, 0.65829, 0.83742, 0.78609),
        (4, 0.78142, 0.85609, 0.91278), (8, 0.85164, 0.87191, 0.97675)]


@pytest.mark.parametrize(("scattering", "dark", "light", "ratio"), ROWS)
def test_film_over_black_and_white(scattering: float, dark: float, light: float,
                                   ratio: float) -> None:
    over_black = float(km.film_reflectance(0.88, scattering, 0.0))
    over_white = float(km.film_reflectance(0.88, scattering, 0.80))
    assert (over_black, over_white, over_black / over_white) == pytest.approx(
        (dark, light, ratio), abs=6e-6)


def test_back_from_two_backings() -> None:
    full, scattering = km.infinite_and_scattering(0.78142, 0.85609, 0.80)
    assert float(full) == pytest.approx(0.880, abs=5e-4)
    assert float(scattering) == pytest.approx(4.00, abs=0.01)
    assert float(km.absorption_over_scattering(0.88)) == pytest.approx(0.00818, abs=5e-6)


def test_thickness_that_hides() -> None:
    ratio = (km.film_reflectance(0.88, 8.51, 0.0) / km.film_reflectance(0.88, 8.51, 0.80))
    assert float(ratio) == pytest.approx(0.98, abs=5e-4)


@pytest.mark.parametrize(("scattering", "dark", "light", "ratio"), ROWS)
def test_reflectance_and_transmittance_say_the_same(scattering: float, dark: float, light: float,
                                                    ratio: float) -> None:
    del ratio
    through = km.film_transmittance(dark, light, 0.80)
    assert float(km.over(dark, through, 0.80)) == pytest.approx(light, abs=1e-9)
    assert float(km.over(dark, through, 0.35)) == pytest.approx(
        float(km.film_reflectance(0.88, scattering, 0.35)), abs=2e-5)


def test_two_films_are_one_of_twice_the_thickness() -> None:
    dark = float(km.film_reflectance(0.88, 4.0, 0.0))
    through = km.film_transmittance(dark, km.film_reflectance(0.88, 4.0, 0.8), 0.8)
    twice_dark, twice_through = km.at_thickness(dark, through, 2.0)
    assert float(twice_dark) == pytest.approx(0.85164, abs=6e-6)
    assert float(km.over(twice_dark, twice_through, 0.8)) == pytest.approx(0.87191, abs=6e-6)
    assert float(km.over(dark, through, km.over(dark, through, 0.3))) == pytest.approx(
        float(km.over(twice_dark, twice_through, 0.3)), abs=1e-9)


def test_a_clear_film_follows_bouguer() -> None:
    dark, through = km.at_thickness(np.array([0.0, 1e-5]), np.array([0.6, 0.6]), 2.0)
    assert through == pytest.approx([0.36, 0.36], abs=1e-4)
    assert dark == pytest.approx([0.0, 1e-5 * (1 + 0.36)], abs=1e-6)
