"""Fitting finds again a model that made the patches."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from separations.colour.colorimetry import colour_difference
from separations.colour.model_fit import fit_print_model, training_rows
from separations.colour.print_model import CURVE_ENTRIES, PrintModel


def made_patches() -> tuple[NDArray[np.float64], PrintModel]:
    levels = np.array([0.0, 0.1, 0.3, 0.5, 0.7, 0.85, 1.0])
    tones = np.stack(np.meshgrid(levels, levels, indexing="ij"), axis=-1).reshape(-1, 2)
    spread = np.zeros((8, 3))
    spread[[2, 3]], spread[[5, 7]] = 0.2, -0.15
    curve = np.linspace(0.0, 1.0, CURVE_ENTRIES) ** 0.8
    model = PrintModel(
        ink_names=("a", "b"), measured=np.ones(4, np.bool_), n=np.full(3, 2.0), spread=spread,
        primaries_rgb=np.array([[0.8, 0.8, 0.7], [0.2, 0.4, 0.6], [0.7, 0.3, 0.1],
                                [0.15, 0.1, 0.05]]),
        curves=np.tile(curve, (2, 3, 1)))
    return tones, model


def test_ramps_tell_the_rest() -> None:
    tones, truth = made_patches()
    found = fit_print_model(tones, truth.predict_xyz(tones), ink_names=("a", "b"))
    errors = colour_difference(found.predict_lab(tones), truth.predict_lab(tones))
    assert errors.max() < 0.3
    # pulled off a little: spreading coefficients are damped
    assert found.n == pytest.approx([2.0] * 3, abs=0.2)
    assert found.measured.all()


@pytest.mark.parametrize("n", [1.3, 2.7, 3.2, 3.5])
def test_the_factor_that_made_the_patches_is_found_again(n: float) -> None:
    tones, truth = made_patches()
    plain = replace(truth, n=np.full(3, n), spread=np.empty((0, 3)))
    found = fit_print_model(tones, plain.predict_xyz(tones), ink_names=("a", "b"))
    assert found.n == pytest.approx([n] * 3, abs=0.06)


def test_training_rows_are_solids_and_ramps() -> None:
    rows = training_rows(np.array([[0.0, 0.0], [0.3, 0.0], [0.3, 1.0], [0.3, 0.3], [0.3, 0.5]]))
    assert rows.tolist() == [True, True, True, True, False]


def test_solids_alone_leave_straight_curves_and_flag_the_overprint() -> None:
    tones = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]])
    _, truth = made_patches()
    found = fit_print_model(tones, truth.predict_xyz(tones), ink_names=("a", "b"))
    assert found.measured.tolist() == [True, True, True, False]
    assert np.allclose(found.curves[0, 0], np.linspace(0.0, 1.0, CURVE_ENTRIES))
    assert found.primaries_lab[3, 0] < found.primaries_lab[[1, 2], 0].min()


def test_a_missing_solid_is_refused() -> None:
    with pytest.raises(ValueError, match="solid"):
        fit_print_model([[0.0, 0.0], [1.0, 0.0]], [[0.8] * 3, [0.2] * 3], ink_names=("a", "b"))
