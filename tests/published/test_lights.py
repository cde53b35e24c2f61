"""Lights, corresponding colours, smooth spectra and metamerism, against colour-science.

Sources: CIE 15:2004 (standard illuminants, daylights, the special metamerism index), ASTM E308 and
E2022, CIE 248:2022 (CAT16), Kubelka 1948 with the worked layer of "Computational Colour Science
Using MATLAB", equation 9.13. colour-science 0.4 holds the tables and does the sums.
"""

from __future__ import annotations

import warnings
from typing import Any

import numpy as np
import pytest

from separations.colour.colorimetry import D50_XYZ
from separations.colour.ink_spectra import InkSpectra
from separations.colour.lights import light_named
from separations.colour.metamerism import metamerism_index, smoothest_spectrum
from separations.colour.spectra import in_bands, reflectance_to_xyz
from separations.colour.spectral_layering import film_of, layered_spectra

WAVES = np.arange(360.0, 781.0, 10.0)
STEP = 0.05 + 0.75 / (1 + np.exp(-(WAVES - 580) / 30))
HUMP = 0.1 + 0.6 * np.exp(-0.5 * ((WAVES - 520) / 40) ** 2)


@pytest.fixture(scope="module")
def colour() -> Any:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it looks for libraries to draw with
        import colour
    return colour


def illuminant_of(colour: Any, name: str) -> Any:
    if name.endswith(" K"):
        xy = colour.temperature.CCT_to_xy_CIE_D(float(name[:-2]))
        return colour.sd_CIE_illuminant_D_series(xy)
    return colour.SDS_ILLUMINANTS[name].copy()


def theirs(colour: Any, spectrum: np.ndarray, name: str) -> np.ndarray:
    fine = colour.SpectralShape(360, 780, 1)
    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(fine)
    return np.asarray(colour.colorimetry.sd_to_XYZ_tristimulus_weighting_factors_ASTME308(
        colour.SpectralDistribution(spectrum, WAVES), cmfs,
        illuminant_of(colour, name).align(fine)))


@pytest.mark.parametrize("name", ["D50", "D55", "D65", "D75", "A", "5000 K", "12000 K", "20000 K"])
def test_colours_under_a_light(colour: Any, name: str) -> None:
    light = light_named(name)
    for spectrum in (np.ones(43), STEP, HUMP):
        np.testing.assert_allclose(
            100.0 * light.xyz(spectrum), theirs(colour, spectrum, name), atol=0.06)
        white = theirs(colour, np.ones(43), name)
        lab = colour.XYZ_to_Lab(theirs(colour, spectrum, name) / 100.0,
                                colour.XYZ_to_xy(white / 100.0))
        np.testing.assert_allclose(light.lab(spectrum), lab, atol=0.06)


@pytest.mark.parametrize("name", ["D65", "A", "12000 K"])
def test_what_looks_alike_under_d50(colour: Any, name: str) -> None:
    light = light_named(name)
    xyz = light.xyz(STEP)
    alike = colour.adaptation.chromatic_adaptation_VonKries(
        xyz, light.white_xyz, D50_XYZ, transform="CAT16")
    np.testing.assert_allclose(light.to_d50 @ xyz, alike, atol=1e-6)


def test_bands_of_20_nm_are_read_between_as_the_tables_do() -> None:
    for spectrum in (STEP, HUMP):
        coarse = reflectance_to_xyz(400, spectrum[None, 4:35:2], 20)
        fine = in_bands(400, spectrum[None, 4:35:2], 20) @ light_named("D50").weights
        np.testing.assert_allclose(fine, coarse, atol=2e-4)


@pytest.mark.parametrize("spectrum", [STEP, HUMP, 0.04 + 0.02 * HUMP])
def test_the_smoothest_spectrum_agrees_and_is_smoother(spectrum: np.ndarray) -> None:
    d50 = light_named("D50")
    smooth = smoothest_spectrum(spectrum, d50)
    assert smooth is not None
    np.testing.assert_allclose(d50.xyz(smooth), d50.xyz(spectrum), atol=1e-8)
    assert ((smooth > 0) & (smooth < 1)).all()
    bent, own = np.arctanh(2 * smooth - 1), np.arctanh(2 * spectrum - 1)
    assert (np.diff(bent) ** 2).sum() <= (np.diff(own) ** 2).sum()


def test_a_flat_spectrum_is_its_own_smoothest() -> None:
    found = smoothest_spectrum(np.full(43, 0.3), light_named("D50"))
    assert found is not None
    np.testing.assert_allclose(found, 0.3, atol=1e-7)


@pytest.mark.parametrize("name", ["D65", "A", "12000 K"])
def test_the_metamerism_index(colour: Any, name: str) -> None:
    """Nothing under D50, and under the test light what colour-science finds."""
    d50, light = light_named("D50"), light_named(name)
    smooth = smoothest_spectrum(HUMP, d50)
    assert smooth is not None
    assert float(metamerism_index(HUMP, smooth, d50)) < 1e-6
    white = colour.XYZ_to_xy(theirs(colour, np.ones(43), name) / 100.0)
    one, other = (colour.XYZ_to_Lab(theirs(colour, spectrum, name) / 100.0, white)
                  for spectrum in (HUMP, smooth))
    asked = float(colour.delta_E(one, other, method="CIE 2000"))
    assert asked > 0.2
    assert float(metamerism_index(HUMP, smooth, light)) == pytest.approx(asked, abs=0.05)


def layer(backing: float, k: float, s: float, thickness: float) -> float:
    """Kubelka's layer over a backing, in the book's form."""
    a = 1 + k / s
    b = np.sqrt(a * a - 1)
    coth = 1 / np.tanh(b * s * thickness)
    return float((1 - backing * (a - b * coth)) / (a - backing + b * coth))


def test_a_worked_layer_is_found_from_any_two_backings() -> None:
    assert layer(0.5, 1.0, 0.2, 1.0) == pytest.approx(0.12424, abs=1e-5)
    card = InkSpectra(white=np.full(43, 0.86), over_white=np.full(43, layer(0.86, 1.0, 0.2, 1.0)),
                      black=np.full(43, 0.04), over_black=np.full(43, layer(0.04, 1.0, 0.2, 1.0)))
    dark, _ = film_of(card, 0.0)
    assert dark[0] == pytest.approx(layer(1e-12, 1.0, 0.2, 1.0), abs=1e-6)
    printed = layered_spectra(np.full(43, 0.5), [card], 0.0)
    np.testing.assert_allclose(printed[1], 0.12424, atol=1e-5)


def test_two_layers_are_one_of_twice_the_thickness() -> None:
    card = InkSpectra(white=np.full(43, 0.86), over_white=np.full(43, layer(0.86, 0.6, 0.9, 1.0)),
                      black=np.zeros(43), over_black=np.full(43, layer(1e-12, 0.6, 0.9, 1.0)))
    twice = layered_spectra(np.full(43, 0.5), [card, card], 0.0)[3]
    np.testing.assert_allclose(twice, layer(0.5, 0.6, 0.9, 2.0), atol=1e-6)
