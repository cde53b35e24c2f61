"""Pictures kept for several who look at them hold what a fresh decoding gives."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from preflight.art.artwork import open_artwork
from preflight.art.artwork_pixels import load_pixels
from separations.pipeline.kept_photos import KeptPhotos
from separations.pipeline.kept_results import KeptResults


@pytest.mark.parametrize("mode", ["L", "LA", "RGB", "RGBA", "CMYK", "I;16"])
def test_kept_bands_are_those_of_a_fresh_decoding(tmp_path: Path, mode: str) -> None:
    rng = np.random.default_rng(1)
    path = tmp_path / "art.tif"
    if mode == "I;16":
        Image.fromarray(rng.integers(0, 65_536, (90, 41), dtype=np.uint16)).save(path)
    else:
        channels = len(Image.new(mode, (1, 1)).getbands())
        values = rng.integers(0, 256, (90, 41, channels), dtype=np.uint8)
        Image.fromarray(values.squeeze(), mode).save(path)
    art = open_artwork(path)
    fresh, kept = load_pixels(art), KeptPhotos(KeptResults())(art)
    for band in ((0, 90), (0, 1), (13, 57), (89, 90)):
        np.testing.assert_array_equal(kept.band(*band), fresh.band(*band))
        assert kept.band(*band).dtype == fresh.band(*band).dtype
    assert kept.uses_alpha == fresh.uses_alpha


def test_a_picture_is_decoded_once(tmp_path: Path) -> None:
    path = tmp_path / "art.png"
    Image.new("RGB", (20, 20), (9, 8, 7)).save(path)
    art, load = open_artwork(path), KeptPhotos(KeptResults())
    assert load(art) is load(art)
    assert load(art, shrink=8.0) is not load(art)
    assert load(open_artwork(path)) is load(art)
    first = load(art)
    load.forget()
    assert load(art) is not first
