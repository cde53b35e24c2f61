"""Layers as a browser blends them: bare wood at 0 %, the solid at 100 %, and which way they lie."""

from __future__ import annotations

import io

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from separations.colour.display import shown_srgb, solid_srgb
from separations.colour.ink_colours import print_model, process_ink, spot_ink
from separations.proof.film_layers import film_layers
from separations.proof.shown_pictures import FilmLayer
from tests.colour_samples import BAMBOO_LAB, PROCESS_INK_NAMES

INKS = [process_ink(name) for name in PROCESS_INK_NAMES]


def decoded(layer: FilmLayer) -> NDArray[np.float64]:
    with Image.open(io.BytesIO(layer.data)) as picture:
        assert picture.mode == "L"
        return np.asarray(picture, float) / 255


def blended(layer: FilmLayer, wood: tuple[int, ...], grey: float) -> NDArray[np.float64]:
    """What the style sheet asks of the browser, by the formulas of W3C Compositing, 9.1."""
    tint, beneath = np.array(layer.srgb) / 255, np.array(wood) / 255
    if layer.lightens:  # grey multiplied with the tint, screened onto the wood
        return np.asarray(255 * (1 - (1 - beneath) * (1 - grey * tint)))
    return np.asarray(255 * beneath * (1 - (1 - grey) * (1 - tint)))


def test_the_ends_are_the_wood_and_the_solid() -> None:
    model = print_model(BAMBOO_LAB, INKS)
    wood = shown_srgb(model.primaries_lab[0])
    tones = np.zeros((4, 64, 32), np.uint16)
    tones[:, :32] = 65_535
    for number, layer in enumerate(film_layers(tones, PROCESS_INK_NAMES, model)):
        grey = decoded(layer)
        assert grey.shape == (32, 64)
        nose, tail = grey[:, 40:].mean(), grey[:, :24].mean()  # the nose lies to the right
        solid = np.minimum(solid_srgb(model, number), wood)
        assert not layer.lightens
        assert np.abs(blended(layer, wood, nose) - solid).max() < 3
        assert np.abs(blended(layer, wood, tail) - wood).max() < 3


def test_a_pale_ink_lightens_the_wood() -> None:
    model = print_model(BAMBOO_LAB, [*INKS[:1], spot_ink("opaque white")])
    wood, solid = shown_srgb(model.primaries_lab[0]), solid_srgb(model, 1)
    layer = film_layers(np.full((2, 16, 16), 65_535, np.uint16), ("Y", "W"), model)[1]
    assert layer.lightens
    assert np.abs(blended(layer, wood, decoded(layer).mean()) - solid).max() < 4


@pytest.mark.parametrize("inks", [1, 8])
def test_many_inks_do_not_make_a_heavy_page(inks: int) -> None:
    from separations.proof import film_layers as module

    tones = np.full((inks, 3000, 1000), 30_000, np.uint16)
    spots = [spot_ink(n) for n in ("night blue", "lake blue", "ember red", "sun orange")]
    model = print_model(BAMBOO_LAB, [*INKS, *spots][:inks])
    layers = film_layers(tones, ["x"] * inks, model)
    assert sum(decoded(layer).size for layer in layers) <= module._MOST_PIXELS * 1.01
