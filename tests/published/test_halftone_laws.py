"""Murray-Davies, Yule-Nielsen, Demichel and Neugebauer: published and recomputed numbers.

Sources: "Murray-Davies: origin story", cmykhistory.com (the law); numbers of a densitometry
thread on the alt-photo-process list, September 2004 (0.3006 and 0.2812); Westland and
Ripamonti, Computational Colour Science using MATLAB, eq. 9.7, p. 147 (Demichel, with its worked
example). The inverse and the Yule-Nielsen numbers follow from the formulas; Neugebauer's sum is
counted out on a board of squares.
"""

from __future__ import annotations

import numpy as np
import pytest

from separations.colour.print_model import PrintModel, plain_model
from separations.colour.tone_values import area_of_tone_value, tone_value_of_light
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


@pytest.mark.parametrize(("solid", "density"), [(3.0, 0.3006), (1.33, 0.2812)])
def test_tone_value_of_the_half_tone_by_relative_reflectance(solid: float, density: float) -> None:
    """The published half tones read back from their light over that of the bare ground."""
    told = tone_value_of_light(10.0**-density, 10.0**-solid)
    assert float(told) == pytest.approx(0.5, abs=7e-5)


@pytest.mark.parametrize(("tint", "n", "percent"), [
    (0.30, 1.0, 51.95), (0.54, 1.0, 74.11), (0.30, 1.7, 39.29), (0.54, 1.7, 61.04)])
def test_area_behind_a_tone_value(tint: float, n: float, percent: float) -> None:
    """Murray-Davies tells 51.95 and 74.11 %, Yule and Nielsen less, of the same light."""
    told = tone_value_of_light(10.0**-tint, 10.0**-1.40)
    assert 100 * float(area_of_tone_value(told, 10.0**-1.40, n)) == pytest.approx(percent,
                                                                                 abs=0.0051)


def test_demichel_worked_example() -> None:
    weights = demichel_weights([0.4, 0.0, 0.4])
    assert weights[[0b000, 0b001, 0b100, 0b101]] == pytest.approx([0.36, 0.24, 0.24, 0.16])
    assert weights.sum() == pytest.approx(1.0)


@pytest.mark.parametrize("n", [1.0, 2.0])
@pytest.mark.parametrize("squares", [(5, 3, 2), (10, 4, 7), (1, 0, 9)])
def test_neugebauer_is_what_is_counted_on_a_board_of_squares(squares: tuple[int, int, int],
                                                             n: float) -> None:
    """Each ink covers so many of ten layers along its own axis: all overlaps in their shares."""
    inked = [(np.indices((10, 10, 10))[axis] < count) for axis, count in enumerate(squares)]
    primary = sum(cover.astype(int) << axis for axis, cover in enumerate(inked))
    light = np.random.default_rng(20).uniform(0.03, 0.9, (8, 1))
    tones = [count / 10 for count in squares]
    assert demichel_weights(tones) == pytest.approx(
        np.bincount(np.ravel(primary), minlength=8) / 1000)
    counted = float(np.mean(light[primary, 0] ** (1 / n)) ** n)
    assert float(neugebauer(tones, light, n)[0]) == pytest.approx(counted, rel=1e-12)


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
