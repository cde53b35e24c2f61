"""Colours of rows in plain numpy against the compiled sums of the search."""

from __future__ import annotations

import numpy as np
import pytest

from separations.colour.print_kernels import lab_and_slopes, scratch_for
from separations.colour.print_model import PrintModel, plain_model, print_sums


@pytest.mark.parametrize(("inks", "spreads"), [(1, False), (3, True), (6, True), (8, False)])
def test_both_make_the_same_colours(inks: int, spreads: bool) -> None:
    rng = np.random.default_rng(inks)
    plain = plain_model(tuple(f"ink {k}" for k in range(inks)),
                        rng.uniform(0.02, 0.9, (1 << inks, 3)), np.ones(1 << inks, np.bool_),
                        curves=np.sort(rng.random((inks, 65)), axis=1), n=1.7)
    spread = rng.uniform(-0.3, 0.3, (inks << inks if spreads else 0, 3))
    model = PrintModel(ink_names=plain.ink_names, primaries_rgb=plain.primaries_rgb,
                       measured=plain.measured, curves=plain.curves,
                       n=np.array([1.7, 2.0, 1.0]), spread=spread)
    tones = np.vstack([np.zeros(inks), np.ones(inks), rng.random((2100, inks))])
    scratch, lab, slopes = scratch_for(inks), np.empty(3), np.empty((3, inks))
    found = np.empty((len(tones), 3))
    for row, one in enumerate(tones):
        lab_and_slopes(one, print_sums(model), scratch, lab, slopes)
        found[row] = scratch.xyz
    np.testing.assert_allclose(model.predict_xyz(tones), found, rtol=1e-12, atol=1e-15)
