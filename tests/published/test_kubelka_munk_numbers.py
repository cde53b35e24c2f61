"""Kubelka-Munk films against the two fluxes themselves, integrated by scipy.

Sources: Kubelka and Munk 1931, the differential equations of the two fluxes, whose solution the
code has in hyperbolic form (Kubelka 1948): scipy's solve_ivp integrates them here and knows
nothing of that form. The rows, reckoned from that form, have a reflectance at full thickness of
0.88 and a white backing of 0.80.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from separations.colour import kubelka_munk as km

ROWS = [(1, 0.49661, 0.82217), (2, 0.65829, 0.83742), (4, 0.78142, 0.85609), (8, 0.85164, 0.87191)]


def film_reflectance(full: float, scattering: float, backing: float) -> float:
    """Reflectance of a film by dR/dX = S (1 - 2 a R + R²), from its backing up."""
    a = (1 / full + full) / 2
    found = solve_ivp(lambda _, r: 1 - 2 * a * r + r * r, (0.0, scattering), [backing],
                      rtol=1e-11, atol=1e-13)
    return float(found.y[0, -1])


@pytest.mark.parametrize("full", [0.05, 0.4, 0.88])
@pytest.mark.parametrize("scattering", [0.2, 1.0, 4.0])
def test_films_are_what_the_fluxes_give(full: float, scattering: float) -> None:
    dark, light = (film_reflectance(full, scattering, backing) for backing in (0.0, 0.8))
    through = km.film_transmittance(dark, light, 0.8)
    assert float(km.over(dark, through, 0.35)) == pytest.approx(
        film_reflectance(full, scattering, 0.35), abs=1e-6)
    twice_dark, twice_through = km.at_thickness(dark, through, 2.0)
    assert float(km.over(twice_dark, twice_through, 0.35)) == pytest.approx(
        film_reflectance(full, 2 * scattering, 0.35), abs=1e-6)


def test_the_rows_are_what_the_fluxes_give() -> None:
    for scattering, dark, light in ROWS:
        assert [film_reflectance(0.88, scattering, b) for b in (0.0, 0.8)] == pytest.approx(
            [dark, light], abs=6e-6)


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
