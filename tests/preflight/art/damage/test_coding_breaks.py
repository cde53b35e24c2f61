"""Breaks in a JPEG's coding, made by hand in sound pictures, and found again."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from preflight.art.artwork import open_artwork
from preflight.art.artwork_pixels import ArtPixels, load_pixels
from preflight.art.damage.coding_breaks import coding_break
from preflight.art.damage.grey_fill import grey_rows
from tests.hostile.damaged_pictures import ROOT

Pixels = NDArray[np.uint8]


def photograph() -> Pixels:
    """A piece of the demo's own landscape, 1600 × 640."""
    with Image.open(ROOT / "demo_art" / "estuary_and_heath.jpg") as image:
        return np.array(image.crop((5000, 900, 6600, 1540)).convert("RGB"))


def opened(tmp_path: Path, pixels: Pixels) -> ArtPixels:
    Image.fromarray(pixels).save(tmp_path / "picture.png")
    return load_pixels(open_artwork(tmp_path / "picture.png"))


def changed_from(pixels: Pixels, side: int, row: int, column: int, by: NDArray[np.int64]
                 ) -> Pixels:
    """All units of ``side`` pixels from one on, in the order of coding, changed by so much."""
    spoilt = pixels.astype(int)
    spoilt[(row + 1) * side:] += by
    spoilt[row * side:(row + 1) * side, column * side:] += by
    return np.asarray(np.clip(spoilt, 0, 255), np.uint8)


@pytest.mark.parametrize("by", [(14, 14, 14), (0, 0, 18), (-15, 4, 0)])
@pytest.mark.parametrize(("side", "row", "column"), [(16, 5, 11), (8, 40, 140), (16, 24, 72)])
def test_another_tone_from_a_block_on(
    tmp_path: Path, side: int, row: int, column: int, by: tuple[int, int, int],
) -> None:
    spoilt = changed_from(photograph(), side, row, column, np.array(by))
    found = coding_break(opened(tmp_path, spoilt))
    assert found is not None
    assert abs(found.row_px - row * side) <= side
    assert abs(found.column_px - column * side) <= 2 * side


def test_another_place_from_a_block_on(tmp_path: Path) -> None:
    pixels = photograph()
    units = pixels.reshape(40, 16, 100, 16, 3).swapaxes(1, 2).reshape(4000, 16, 16, 3)
    at = 33 * 100 + 34
    moved = np.concatenate([units[:at], units[at + 9:], units[:9]])  # nine units are lost
    spoilt = moved.reshape(40, 100, 16, 16, 3).swapaxes(1, 2).reshape(pixels.shape)
    found = coding_break(opened(tmp_path, np.ascontiguousarray(spoilt)))
    assert found is not None
    assert (found.row_px, found.column_px) == (528, 544)


def test_the_same_beside_the_grid_is_a_picture(tmp_path: Path) -> None:
    # What is told rests on where units lie: elsewhere the same step is taken for what it shows.
    for shift in (3, 5):
        spoilt = changed_from(photograph(), 16, 5, 11, np.array([14, 14, 14]))
        assert coding_break(opened(tmp_path, np.ascontiguousarray(spoilt[shift:]))) is None
    straight = photograph().astype(int)
    straight[112:] = np.clip(straight[112:] + 14, 0, 255)
    assert coding_break(opened(tmp_path, straight.astype(np.uint8))) is None


def test_grey_that_stands_for_missing_data(tmp_path: Path) -> None:
    pixels = photograph()
    assert grey_rows(opened(tmp_path, pixels)) == 0
    pixels[528:] = 128
    assert grey_rows(opened(tmp_path, pixels)) == 112
    pixels[:16] = 128
    assert grey_rows(opened(tmp_path, pixels)) == 0  # a grey frame
    pixels[528:] = 90
    assert grey_rows(opened(tmp_path, pixels)) == 0
