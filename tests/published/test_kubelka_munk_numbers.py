"""Kubelka-Munk films against the two fluxes themselves, integrated by scipy.

Sources: Kubelka and Munk 1931, the differential equations of the two fluxes: scipy's solve_ivp
integrates them here and knows nothing of the closed forms that the code has. Westland and
Ripamonti, Computational Colour Science using MATLAB, eq. 9.13, p. 147, for a film of K = 1,
S = 0.2 over 0.5 (0.12424).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from separations.colour import kubelka_munk as km

FULL = pytest.mark.parametrize("full", [0.05, 0.4, 0.88])
SCATTERING = pytest.mark.parametrize("scattering", [0.2, 1.0, 4.0])


def integrated(full: float, scattering: float, backing: float) -> float:
    """Reflectance of a film by dR/dX = S (1 - 2 a R + R²), from its backing up."""
    a = (1 / full + full) / 2
    found = solve_ivp(lambda _, r: 1 - 2 * a * r + r * r, (0.0, scattering), [backing],
                      rtol=1e-11, atol=1e-13)
    return float(found.y[0, -1])


def film(full: float, scattering: float) -> tuple[float, float]:
    """A film as the code tells it, from what it is over black and over a white of 0.8."""
    dark = integrated(full, scattering, 0.0)
    return dark, float(km.film_transmittance(dark, integrated(full, scattering, 0.8), 0.8))


@FULL
@SCATTERING
@pytest.mark.parametrize("backing", [0.1, 0.35, 0.6])
def test_films_over_any_backing_are_what_the_fluxes_give(full: float, scattering: float,
                                                        backing: float) -> None:
    dark, through = film(full, scattering)
    assert float(km.over(dark, through, backing)) == pytest.approx(
        integrated(full, scattering, backing), abs=2e-6)


def test_the_printed_example() -> None:
    a = 1 + 1 / 0.2
    dark, through = film(a - math.sqrt(a * a - 1), 0.2)
    assert float(km.over(dark, through, 0.5)) == pytest.approx(0.12424, abs=5e-6)


# The code takes 0.001 of the light for the least that passes, so only films that pass more.
@pytest.mark.parametrize(("full", "scattering"), [
    (0.05, 0.2), (0.05, 0.5), (0.4, 0.2), (0.4, 1.0), (0.4, 4.0), (0.88, 0.2), (0.88, 4.0)])
@pytest.mark.parametrize("factor", [0.5, 2.0])
def test_thicker_and_thinner_films_are_what_the_fluxes_give(full: float, scattering: float,
                                                           factor: float) -> None:
    dark, through = km.at_thickness(*film(full, scattering), factor)
    for backing in (0.0, 0.35, 0.8):
        assert float(km.over(dark, through, backing)) == pytest.approx(
            integrated(full, scattering * factor, backing), abs=1e-6)


def test_two_films_are_one_of_twice_the_thickness() -> None:
    dark, through = film(0.88, 4.0)
    twice_dark, twice_through = km.at_thickness(dark, through, 2.0)
    assert float(km.over(dark, through, km.over(dark, through, 0.3))) == pytest.approx(
        float(km.over(twice_dark, twice_through, 0.3)), abs=1e-9)


def test_a_clear_film_follows_bouguer() -> None:
    dark, through = km.at_thickness(np.array([0.0, 1e-5]), np.array([0.6, 0.6]), 2.0)
    assert through == pytest.approx([0.36, 0.36], abs=1e-4)
    assert dark == pytest.approx([0.0, 1e-5 * (1 + 0.36)], abs=1e-6)
