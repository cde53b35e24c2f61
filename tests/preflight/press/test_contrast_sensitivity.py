"""The eye's contrast threshold, against another's implementation of the author's full model."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from preflight.press.contrast_sensitivity import contrast_sensitivity, per_degree, sensitivity_to

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from colour import contrast as oracle


@pytest.mark.parametrize("luminance", [20.0, 64.0, 200.0])
def test_simple_formula_follows_the_full_model(luminance: float) -> None:
    frequency = np.geomspace(0.3, 20.0, 15)
    pupil = oracle.pupil_diameter_Barten1999(luminance, 10, 10)
    full = oracle.contrast_sensitivity_function_Barten1999(
        u=frequency, sigma=oracle.sigma_Barten1999(0.5 / 60, 0.08 / 60, pupil), X_0=10,
        E=oracle.retinal_illuminance_Barten1999(luminance, pupil))
    ours = contrast_sensitivity(frequency, luminance_cd_per_m2=luminance, field_deg=10.0)
    assert ours == pytest.approx(np.asarray(full, float), rel=0.2)


def test_a_degree_at_reading_distance_is_seven_millimetres() -> None:
    assert per_degree(1 / 6.98) == pytest.approx(1.0, rel=0.001)


def test_millimetre_waves_are_seen_best_and_endless_ones_hardly() -> None:
    best, fine, endless = (float(sensitivity_to(f)) for f in (0.4, 5.0, 0.0))
    assert best > 10 * fine
    assert best > 10 * endless > 0
