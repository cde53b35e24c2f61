"""A wedge's light: grain told by another colour, and how sure its tone values are."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from separations.uses.calibration.patches import STEPS_PERCENT
from separations.uses.press_scan.grain_in_wedges import without_grain
from separations.uses.press_scan.told_wedge import told_wedge

FloatArray = NDArray[np.float64]

TONES = np.array([*STEPS_PERCENT, *STEPS_PERCENT[::-1]]) / 100
YELLOW, BLACK = np.array([0.93, 0.80, 0.16]), np.array([0.06, 0.06, 0.07])


def wedge(solid: FloatArray, grain: float, seed: int = 1) -> tuple[FloatArray, FloatArray]:
    """Light of a wedge on wood whose grain shows most in blue, as read and without the grain."""
    value = TONES + 0.5 * TONES * (1.0 - TONES)
    plain = 1.0 - value[:, None] * (1.0 - solid)
    lighter = np.random.default_rng(seed).normal(0.0, grain, (len(TONES), 1))
    return np.asarray(plain * np.exp(lighter * [0.8, 1.0, 1.3])), plain


def test_grain_goes_where_another_colour_tells_it() -> None:
    light, plain = wedge(YELLOW, 0.02)
    righted = without_grain(light, TONES, YELLOW, 2)
    before, after = (np.abs(one - plain[:, 2]).mean() for one in (light[:, 2], righted))
    assert after < 0.3 * before


def test_an_ink_that_is_dark_in_every_colour_stays_as_read() -> None:
    light, _ = wedge(BLACK, 0.02)
    assert without_grain(light, TONES, BLACK, 0) == pytest.approx(light[:, 0], abs=0)


def test_patches_that_were_not_read_stay_so() -> None:
    light, _ = wedge(YELLOW, 0.02)
    light[[3, 20]] = np.nan
    righted = without_grain(light, TONES, YELLOW, 2)
    assert np.flatnonzero(np.isnan(righted)).tolist() == [3, 20]


def test_noise_is_what_repeats_differ_by() -> None:
    """Over many wedges it is the deviation that the readings were made with."""
    found = []
    for seed in range(40):
        light, _ = wedge(BLACK, 0.02, seed)
        found.append(told_wedge(light, light, TONES, BLACK, 1, lossy=False).noise_d)
    assert np.mean(found) == pytest.approx(0.02 / np.log(10.0), rel=0.15)


def test_sharpening_and_a_format_of_few_colours_widen_what_patches_share() -> None:
    light, plain = wedge(YELLOW, 0.01)
    softer = light - 0.02 * (plain - YELLOW) * (1.0 - plain)
    still = told_wedge(light, light, TONES, YELLOW, 2, lossy=False).shared_sd
    unsure = told_wedge(light, softer, TONES, YELLOW, 2, lossy=False).shared_sd
    lossy = told_wedge(light, light, TONES, YELLOW, 2, lossy=True).shared_sd
    middle = (TONES > 0.2) & (TONES < 0.8)
    assert (unsure[middle] > still[middle]).all()
    assert (lossy[middle] > still[middle] + 0.008).all()
    # black shows in lightness as well, of which such a format keeps all
    dark, _ = wedge(BLACK, 0.01)
    assert told_wedge(dark, dark, TONES, BLACK, 0, lossy=True).shared_sd == pytest.approx(
        told_wedge(dark, dark, TONES, BLACK, 0, lossy=False).shared_sd, abs=5e-4)
