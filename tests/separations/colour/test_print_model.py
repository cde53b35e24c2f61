"""Prediction: single rows, whole images, and how colours move with tones."""

from __future__ import annotations

import numpy as np
import pytest

from separations.colour import print_kernels
from separations.colour.print_model import (
    CURVE_ENTRIES,
    PrintModel,
    predict_image_lab,
    print_sums,
)


def any_model(inks: int, *, spreading: bool = False, seed: int = 1) -> PrintModel:
    rng = np.random.default_rng(seed)
    corners = 1 << inks
    curves = np.linspace(0.0, 1.0, CURVE_ENTRIES) ** rng.uniform(0.7, 1.4, (inks, 3, 1))
    spread = np.empty((0, 3))
    if spreading:
        spread = rng.uniform(-0.3, 0.3, (inks * corners, 3))
    return PrintModel(
        ink_names=tuple("abcdefgh"[:inks]), primaries_rgb=rng.uniform(0.02, 0.8, (corners, 3)),
        measured=np.ones(corners, np.bool_), curves=curves,
        n=np.array([2.0, 1.6, 2.4]) if spreading else np.full(3, 2.0), spread=spread)


@pytest.mark.parametrize("inks", [1, 2, 4, 8])
def test_corners_are_the_primaries(inks: int) -> None:
    model = any_model(inks)
    corners = np.array([[index >> ink & 1 for ink in range(inks)] for index in range(1 << inks)])
    assert np.allclose(model.predict_lab(corners), model.primaries_lab, atol=1e-8)
    assert np.allclose(model.substrate_lab, model.primaries_lab[0])


@pytest.mark.parametrize("spreading", [False, True])
@pytest.mark.parametrize("inks", [1, 3, 4])
def test_slopes_are_those_of_the_colour(inks: int, spreading: bool) -> None:
    model = any_model(inks, spreading=spreading)
    model = PrintModel(ink_names=model.ink_names, primaries_rgb=model.primaries_rgb,
                       measured=model.measured, n=model.n, spread=model.spread,
                       curves=np.tile(np.linspace(0.0, 1.0, CURVE_ENTRIES), (inks, 3, 1)))
    scratch = print_kernels.scratch_for(inks)
    lab, slopes = np.empty(3), np.empty((3, inks))
    for tones in np.random.default_rng(2).uniform(0.05, 0.95, (20, inks)):
        print_kernels.lab_and_slopes(tones, print_sums(model), scratch, lab, slopes)
        small = 1e-5 * np.eye(inks)
        measured = (model.predict_lab(tones + small) - model.predict_lab(tones - small)) / 2e-5
        assert np.allclose(slopes, measured.T, rtol=1e-4, atol=2e-3)


@pytest.mark.parametrize(("inks", "spreading"), [(1, False), (2, False), (4, True), (6, False)])
def test_images_are_the_rows(inks: int, spreading: bool) -> None:
    model = any_model(inks, spreading=spreading)
    planes = np.random.default_rng(3).integers(0, 65536, (inks, 7, 150), dtype=np.uint16)
    planes[:, 0, 0], planes[:, 0, 1] = 0, 65535
    tones = planes.transpose(1, 2, 0) / 65535.0
    lab = predict_image_lab(planes, model)
    assert lab.dtype == np.float32
    assert np.abs(lab - model.predict_lab(tones)).max() < 1e-3


def test_images_do_not_depend_on_how_they_are_cut() -> None:
    model = any_model(3)
    planes = np.random.default_rng(4).integers(0, 65536, (3, 900, 160), dtype=np.uint16)
    whole = predict_image_lab(planes, model)
    parts = [predict_image_lab(planes[:, row : row + 100], model) for row in range(0, 900, 100)]
    assert np.array_equal(whole, np.concatenate(parts))


def test_tones_outside_are_clipped_and_shapes_kept() -> None:
    model = any_model(2)
    assert np.array_equal(model.predict_xyz([[-1.0, 2.0]]), model.predict_xyz([[0.0, 1.0]]))
    assert model.predict_lab(np.zeros((2, 5, 2))).shape == (2, 5, 3)


def test_planes_of_another_type_are_refused() -> None:
    with pytest.raises(ValueError, match="uint16"):
        predict_image_lab(np.zeros((2, 4, 4), np.uint8), any_model(2))
