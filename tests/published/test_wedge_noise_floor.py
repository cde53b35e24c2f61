"""What a densitometer's noise leaves to be known of a tone curve.

Source: Murray 1936 and Yule and Nielsen 1951, as told in cmykhistory.com, "Murray-Davies: origin
story"; errors carried through that law by its derivatives, and the least variance that any
unbiased fit can have, by Cramer 1946 and Rao 1945 (from memory, unverified). No figure is taken
from a fit of ours. With S = 10^(-D/n), wood W and solid F, a = (W - S) / (W - F): a reading off
by 0.01 is off by 0.01 ln(10) / n of S, so 2.4 % of area at the wood and 0.1 % at a solid of 1.4
for n = 1, and the wood's own error goes into every area by its share of bare wood, 1 - a.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import betainc

from separations.uses.calibration.curve_fit import fit_curve
from separations.uses.calibration.patches import STEPS_PERCENT
from separations.uses.calibration.wedge_signals import density_signal
from tests.plain_halftone_laws import halftone_density

FloatArray = NDArray[np.float64]
Truth = Callable[[FloatArray], FloatArray]
FINE = np.linspace(0.0, 1.0, 101)
ELEVEN = np.linspace(0.0, 1.0, 11)
SHEET = np.tile(np.array(STEPS_PERCENT) / 100, 2)
NOISE_D, SOLID_D = 0.01, 1.4
#: Shapes that no setting of the fit was chosen by.
HELD_OUT: dict[str, Truth] = {
    "sines": lambda t: t + 0.12 * np.sin(np.pi * t) + 0.03 * np.sin(2 * np.pi * t),
    "gain and shadow": lambda t: t + 0.25 * t * (1 - t) + 0.5 * t**3 * (1 - t),
    "both ends steep": lambda t: np.asarray(betainc(0.9, 1.3, t)),
    "soft step": lambda t: 0.6 * t + 0.4 * (3 * t**2 - 2 * t**3),
}


def least_error(truth: Truth, tones: FloatArray, n: float, shapes: int) -> float:
    """Mean over the curve of the least error of any unbiased fit, normal noise.

    Unknown are the wood, the solid, and so many shapes t (1 - t) cos(k pi t) of the curve.
    """
    wood, solid = 1.0, 10 ** (-SOLID_D / n)
    area = truth(tones)
    signal = wood - area * (wood - solid)
    noise = signal * np.log(10.0) / n * NOISE_D

    def shape(t: FloatArray) -> FloatArray:
        return np.stack([t * (1 - t) * np.cos(np.pi * k * t) for k in range(shapes)], axis=1)

    moves = np.column_stack([1 - area, area, -(wood - solid) * shape(tones)]) / noise[:, None]
    spread = np.linalg.inv(moves.T @ moves)[2:, 2:]
    sd = np.sqrt(np.einsum("ij,jk,ik->i", shape(FINE), spread, shape(FINE)))
    return float(np.mean(sd) * np.sqrt(2 / np.pi))


def error(truth: Truth, tones: FloatArray, n: float, draws: int) -> float:
    """Mean error of our fit over the curve and over draws of noise."""
    off = []
    for draw in range(draws):
        noise = np.random.default_rng(1000 + draw).normal(0.0, NOISE_D, tones.shape)
        fit = fit_curve(density_signal(tones, halftone_density(truth(tones), SOLID_D, n) + noise,
                                       n))
        found = fit.area_at(FINE)
        assert (np.diff(found) >= -1e-12).all()
        off.append(np.abs(found - truth(FINE)).mean())
    return float(np.mean(off))


def test_errors_through_the_law() -> None:
    density = halftone_density(ELEVEN, SOLID_D, 1.0)
    areas = density_signal(ELEVEN, density, 1.0).sd / (1 - 10**-SOLID_D)
    assert areas[0] == pytest.approx(0.0240, abs=1e-4)
    assert areas[5] == pytest.approx(0.0125, abs=1e-4)
    assert areas[-1] == pytest.approx(0.00095, abs=2e-5)


@pytest.mark.parametrize("n", [1.0, 1.5, 2.0])
def test_held_out_shapes_near_the_floor(n: float) -> None:
    """Eleven steps: 0.6 %, or near the least error with three free shapes; the sheet: 0.6 %."""
    eleven = {name: error(truth, ELEVEN, n, 40) for name, truth in HELD_OUT.items()}
    for name, off in eleven.items():
        assert off <= max(0.006, 1.4 * least_error(HELD_OUT[name], ELEVEN, n, 3)), (name, off)
    sheet = {name: error(truth, SHEET, n, 20) for name, truth in HELD_OUT.items()}
    assert max(sheet.values()) <= 0.006, sheet
