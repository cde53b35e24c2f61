"""The surface correction against light followed bounce by bounce, and Fresnel's own sums.

Sources: Saunderson, Calculation of the color of pigmented plastics, J. Opt. Soc. Am. 32 (1942)
727: light that entered is sent back inwards again and again, each time by the share k2. The closed
form that the code has is checked here against the bounces added up. k1 and k2 of a clear resin are
Fresnel's reflectances for a refractive index of 1.5, summed here over all directions by scipy;
from outside, diffuse, Duntley 1942 has 0.092 for it.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from separations.colour.surface import (
    RESIN_K1,
    RESIN_K2,
    Surface,
    beneath_surface,
    through_surface,
)

INDEX = 1.5


def bounced(inner: float, k1: float, k2: float, caught: float) -> float:
    """What comes out of a print when light is followed bounce by bounce."""
    inside, out = (1.0 - k1) * inner, caught * k1
    for _ in range(4000):
        out += inside * (1.0 - k2)
        inside *= k2 * inner
    return out


@pytest.mark.parametrize("inner", [0.0, 0.02, 0.4, 0.9, 1.0])
@pytest.mark.parametrize(("k1", "k2", "caught"), [
    (0.04, 0.6, 0.0), (0.04, 0.6, 1.0), (0.05, 0.4, 0.5), (0.0, 0.0, 1.0)])
def test_the_closed_form_is_the_sum_of_all_bounces(
        inner: float, k1: float, k2: float, caught: float) -> None:
    surface = Surface(k1=k1, k2=k2, caught=caught)
    assert float(through_surface(inner, surface)) == pytest.approx(
        bounced(inner, k1, k2, caught), abs=1e-12)
    assert float(beneath_surface(through_surface(inner, surface), surface)) == pytest.approx(
        inner, abs=1e-12)


def fresnel(cosine: float, index: float) -> float:
    """Unpolarised reflectance of a plane surface; ``index`` is that beyond over that before."""
    sine = np.sqrt(1.0 - cosine**2) / index
    if sine >= 1.0:
        return 1.0
    beyond = np.sqrt(1.0 - sine**2)
    across = (cosine - index * beyond) / (cosine + index * beyond)
    along = (index * cosine - beyond) / (index * cosine + beyond)
    return float((across**2 + along**2) / 2)


def diffuse(index: float) -> float:
    """The same of light from all directions, by Lambert's cosine."""
    critical = [np.sqrt(1.0 - index**2)] if index < 1 else None
    return float(2.0 * quad(lambda cosine: fresnel(cosine, index) * cosine, 0.0, 1.0,
                            points=critical)[0])


def test_the_shares_of_a_clear_resin_are_fresnels() -> None:
    assert fresnel(1.0, INDEX) == pytest.approx(RESIN_K1, abs=1e-12)
    assert diffuse(1.0 / INDEX) == pytest.approx(RESIN_K2, abs=5e-4)
    assert diffuse(INDEX) == pytest.approx(0.092, abs=5e-4)
    # what leaves and what enters by all directions agree, by Helmholtz reciprocity
    assert 1.0 - (1.0 - diffuse(INDEX)) / INDEX**2 == pytest.approx(RESIN_K2, abs=5e-4)


def test_nothing_is_darker_beneath_than_black() -> None:
    assert float(beneath_surface(0.01, Surface(k1=0.04, k2=0.6, caught=1.0))) == 0.0
