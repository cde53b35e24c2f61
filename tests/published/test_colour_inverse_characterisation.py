"""The inverse on a model fitted to measured prints.

Source: characterisation data FOGRA39L (Fogra, December 2006) and CGATS TR 002, as installed by
Debian's icc-profiles-free: offset on coated paper and on newsprint.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from separations.colour.colorimetry import colour_difference
from separations.colour.inversion import TonePreferences, invert_direct
from separations.colour.model_fit import fit_print_model


@pytest.mark.parametrize("name", ["FOGRA39L", "TR002"])
def test_measured_colours_come_back(printed_patches: Callable[[str], Any], name: str) -> None:
    """Tones found for measured patches print, by the model, what was measured."""
    patches = printed_patches(name)
    model = fit_print_model(patches.tones, patches.xyz, ink_names=("c", "m", "y", "k"))
    legal = patches.tones.sum(axis=1) <= 3.0
    wanted = patches.lab[legal]
    found = invert_direct(model, wanted, TonePreferences(tone_sum_limit=3.0, black_ink=3))
    assert found.sum(axis=1).max() <= 3.0 + 1e-9
    errors = colour_difference(model.predict_lab(found), wanted)
    # measured colours on the gamut's skin lie a little outside the model's
    assert errors.mean() <= 0.15
    assert np.percentile(errors, 99.0) <= 1.5
    # other tones than the patch's own: the black wish has replaced grey colour by black
    assert np.abs(found - patches.tones[legal]).max() > 0.3


def test_printed_colours_come_back(printed_patches: Callable[[str], Any]) -> None:
    patches = printed_patches("FOGRA39L")
    model = fit_print_model(patches.tones, patches.xyz, ink_names=("c", "m", "y", "k"))
    tones = np.random.default_rng(4).random((3000, 4))
    tones *= np.minimum(1.0, 3.0 / tones.sum(axis=1, keepdims=True))
    wanted = model.predict_lab(tones)
    found = invert_direct(model, wanted, TonePreferences(tone_sum_limit=3.0, black_ink=3))
    errors = colour_difference(model.predict_lab(found), wanted)
    assert errors.mean() <= 0.15
    assert np.percentile(errors, 99.9) <= 0.5
    assert errors.max() <= 1.0
