"""One ink's curve from a wedge with known truth and seeded noise."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from separations.colour.tone_curve import PUBLISHED_SCREEN_CURVE
from separations.uses.calibration.curve_fit import fit_curve
from separations.uses.calibration.patches import STEPS_PERCENT
from separations.uses.calibration.wedge_signals import density_signal
from tests.plain_halftone_laws import halftone_density

FloatArray = NDArray[np.float64]
FINE = np.linspace(0.0, 1.0, 101)
ELEVEN = np.linspace(0.0, 1.0, 11)
SHEET = np.tile(np.array(STEPS_PERCENT) / 100, 2)
#: Smooth gains of several kinds, and the rough published readings.
TRUTHS = {
    "even gain": lambda t: t + 0.65 * t * (1 - t),
    "late gain": lambda t: t + 0.6 * t * t * (1 - t),
    "straight": lambda t: t,
    "power": lambda t: 1 - (1 - t) ** 1.6,
    "published": PUBLISHED_SCREEN_CURVE.printed_tone,
}


def density_of(areas: FloatArray, n: float, seed: int, noise: float = 0.01) -> FloatArray:
    """What a meter reads, bare wood at 0.25, solid 1.4 above it."""
    return np.asarray(0.25 + halftone_density(areas, 1.4, n)
                      + np.random.default_rng(seed).normal(0.0, noise, areas.shape))


def errors(name: str, tones: FloatArray, n: float, trials: int = 100) -> tuple[float, float]:
    """Mean error of the curve, and the share of it within two standard deviations."""
    truth, off, within = TRUTHS[name], [], []
    for seed in range(trials):
        fit = fit_curve(density_signal(tones, density_of(truth(tones), n, seed), n))
        found = fit.area_at(FINE)
        assert (np.diff(found) >= -1e-12).all()
        assert found[0] == 0.0
        assert found[-1] == pytest.approx(1.0, abs=1e-12)
        away = np.abs(found - truth(FINE))
        off.append(away.mean())
        within.append(np.mean(away[1:-1] <= 2.0 * np.interp(FINE, fit.film, fit.sd)[1:-1] + 1e-3))
    return float(np.mean(off)), float(np.mean(within))


@pytest.mark.long
@pytest.mark.parametrize("n", [1.0, 2.0])
def test_eleven_steps_with_a_hundredth_of_density_noise(n: float) -> None:
    found = {name: errors(name, ELEVEN, n) for name in TRUTHS}
    smooth = [found[name] for name in TRUTHS if name != "published"]
    assert np.mean([off for off, _ in smooth]) <= 0.006
    assert max(off for off, _ in smooth) <= (0.009 if n == 1.0 else 0.006)
    assert min(within for _, within in smooth) >= 0.85
    # its kinks are finer than eleven steps
    assert found["published"][0] <= (0.0135 if n == 1.0 else 0.0105)
    assert found["published"][1] >= 0.88


@pytest.mark.parametrize("n", [1.0, 2.0])
def test_the_sheet_s_own_two_passes(n: float) -> None:
    found = {name: errors(name, SHEET, n, trials=60)[0] for name in TRUTHS}
    assert max(off for name, off in found.items() if name != "published") <= 0.006
    assert found["published"] <= 0.0095


@given(st.lists(st.floats(-0.4, 2.0), min_size=11, max_size=11))
def test_any_readings_at_all_give_a_rising_curve(density: list[float]) -> None:
    read = np.array(density)
    read[0], read[-1] = -0.5, 2.1
    fit = fit_curve(density_signal(ELEVEN, read, 1.5))
    assert np.isfinite(fit.printed).all()
    assert (np.diff(fit.printed) >= 0.0).all()
    assert fit.printed[0] == 0.0
    assert fit.printed[-1] == 1.0
    assert np.isfinite(fit.sd).all()


def test_slips_do_not_pull() -> None:
    truth = TRUTHS["even gain"]
    density = density_of(truth(SHEET), 2.0, 4)
    density[7] += 0.3
    density[20] -= 0.2
    fit = fit_curve(density_signal(SHEET, density, 2.0))
    assert set(np.flatnonzero(~fit.used)) == {7, 20}
    assert fit.off[7] > 4.0 > -4.0 > fit.off[20]
    assert np.abs(fit.area_at(FINE) - truth(FINE)).mean() <= 0.006


def test_noise_is_judged_and_widens_the_band() -> None:
    truth = TRUTHS["even gain"]
    quiet, loud = (fit_curve(density_signal(SHEET, density_of(truth(SHEET), 2.0, 1, noise), 2.0))
                   for noise in (0.005, 0.03))
    assert quiet.noise < 0.8 < 1.8 < loud.noise
    assert loud.sd.mean() > 2.0 * quiet.sd.mean()


def test_areas_are_the_law_s_own() -> None:
    truth = TRUTHS["late gain"]
    fit = fit_curve(density_signal(SHEET, density_of(truth(SHEET), 1.7, 0, noise=0.0), 1.7))
    np.testing.assert_allclose(fit.areas, truth(SHEET), atol=0.004)
    np.testing.assert_allclose(fit.printed, truth(fit.film), atol=0.004)
