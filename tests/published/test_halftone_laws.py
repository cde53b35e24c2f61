"""Murray-Davies, Yule-Nielsen, Demichel and Neugebauer: published and recomputed numbers.

Sources: "Murray-Davies: origin story", cmykhistory.com (the law); numbers of a densitometry
thread on the alt-photo-process list, September 2004 (0.3006 and 0.2812); Westland and
Ripamonti, Computational Colour Science using MATLAB, eq. 9.7, p. 147 (Demichel, with its worked
example). The inverse, the Yule-Nielsen and the Neugebauer numbers follow from the formulas.
"""

from __future__ import annotations

import numpy as np
import pytest

from separations.colour.print_model import PrintModel, plain_model
from tests.plain_halftone_laws import (
    demichel_weights,
    halftone_area,
    halftone_density,
    neugebauer,
)


@pytest.mark.parametrize(("solid", "density"), [(3.0, 0.3006), (1.33, 0.2812)])
def test_density_of_a_half_tone(solid: float, density: float) -> None:
    assert float(halftone_density(0.5, solid)) == pytest.approx(density, abs=5.1e-5)


@pytest.mark.parametrize(("tint", "n", "percent"), [
    (0.30, 1.0, 51.95), (0.54, 1.0, 74.11), (0.30, 1.7, 39.29), (0.54, 1.7, 61.04),
    (0.30, 2.0, 36.49)])
def test_area_from_densities(tint: float, n: float, percent: float) -> None:
    assert float(halftone_area(tint, 1.40, n)) * 100 == pytest.approx(percent, abs=0.0051)
    assert float(halftone_density(percent / 100, 1.40, n)) == pytest.approx(tint, abs=1e-4)


def test_demichel_worked_example() -> None:
    weights = demichel_weights([0.4, 0.0, 0.4])
    assert weights[[0b000, 0b001, 0b100, 0b101]] == pytest.approx([0.36, 0.24, 0.24, 0.16])
    assert weights.sum() == pytest.approx(1.0)


SHARES = {0b000: 0.28, 0b001: 0.28, 0b010: 0.12, 0b100: 0.07, 0b011: 0.12, 0b101: 0.07,
          0b110: 0.03, 0b111: 0.03}
LIGHTS = {0b000: 0.85, 0b001: 0.24, 0b010: 0.17, 0b100: 0.73, 0b011: 0.06, 0b101: 0.17,
          0b110: 0.15, 0b111: 0.04}


def test_neugebauer_worked_example() -> None:
    assert demichel_weights([0.5, 0.3, 0.2]) == pytest.approx([SHARES[i] for i in range(8)])
    light = np.array([[LIGHTS[index]] for index in range(8)])
    assert float(neugebauer([0.5, 0.3, 0.2], light)[0]) == pytest.approx(0.4015, abs=5.1e-5)
    assert float(neugebauer([0.5, 0.3, 0.2], light, 2.0)[0]) == pytest.approx(0.3370, abs=5.1e-5)


@pytest.mark.parametrize("n", [1.0, 1.7, 2.0])
def test_the_compiled_model_is_the_plain_law(n: float) -> None:
    rng = np.random.default_rng(8)
    model = plain_model(("a", "b", "c"), rng.uniform(0.1, 0.8, (8, 3)), np.ones(8, np.bool_), n=n)
    model = PrintModel(ink_names=model.ink_names, primaries_rgb=rng.uniform(0.02, 0.9, (8, 3)),
                       measured=model.measured, curves=model.curves, n=model.n,
                       spread=model.spread)
    tones = rng.random((50, 3))
    from separations.colour.colorimetry import wide_rgb_to_xyz

    plain = wide_rgb_to_xyz(neugebauer(tones, model.primaries_rgb, n))
    assert np.allclose(model.predict_xyz(tones), plain, atol=1e-12)
