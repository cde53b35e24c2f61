"""JPEG's blocks in pictures that were enlarged afterwards, and none where there are none.

Photographs are those of the scikit-image wheel (see test_true_resolution_corpus.py).

By hand, November 2026, on all pictures of that wheel and two of the demo: of 364 that were whole,
blurred, or enlarged 1.5 to 7 times (some saved as JPEG 75 or 80 after that), grids were found in
six: photos that had been JPEGs, enlarged (two told blocks half as wide), and two just saved as
such. Of 25 saved as JPEG 50 and enlarged 2.4 to 9 times 14 were found, nearly all within 5 % of the
blocks' size; the others are drawings, or texture all over.
"""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest
import skimage
from numpy.typing import NDArray
from PIL import Image

from preflight.photo_quality.detail_windows import picture_tiles
from preflight.photo_quality.enlarged_blocks import EnlargedBlocks, enlarged_blocks

Grey = NDArray[np.uint8]


def photograph(name: str) -> Grey:
    with Image.open(Path(skimage.__file__).parent / "data" / name) as image:
        picture = np.asarray(image.convert("L"))
    return np.asarray(cv2.resize(picture, None, fx=0.7, fy=0.7, interpolation=cv2.INTER_AREA),
                      np.uint8)


def jpeg(picture: Grey, quality: int) -> Grey:
    coded = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    return np.asarray(cv2.imdecode(coded, cv2.IMREAD_UNCHANGED), np.uint8)


def enlarged(picture: Grey, by: float) -> Grey:
    return np.asarray(cv2.resize(picture, None, fx=by, fy=by, interpolation=cv2.INTER_CUBIC),
                      np.uint8)


def found(picture: Grey, share: float) -> EnlargedBlocks:
    return enlarged_blocks(picture, picture_tiles(*picture.shape), share=share)


@pytest.mark.parametrize("by", [1.5, 2.37, 4.0])
@pytest.mark.parametrize("name", ["coffee.png", "camera.png"])
def test_enlarged_blocks_are_found_at_their_size(name: str, by: float) -> None:
    blocks = found(enlarged(jpeg(photograph(name), 50), by), 1 / by)
    assert blocks.block_px == pytest.approx(8 * by, rel=0.02)
    assert 0.8 < blocks.step < 12.0
    assert blocks.local.max() >= blocks.step


def test_the_coarser_the_compression_the_higher_the_steps() -> None:
    photo = photograph("coffee.png")
    steps = [found(enlarged(jpeg(photo, quality), 3.0), 1 / 3).step for quality in (75, 50, 25)]
    assert steps == sorted(steps)
    assert steps[0] > 0


def test_turning_and_mirroring_change_nothing_of_note() -> None:
    picture = enlarged(jpeg(photograph("camera.png"), 40), 3.0)
    as_it_is = found(picture, 1 / 3)
    for other in (picture.T, picture[:, ::-1], picture[::-1].T):
        turned = found(np.ascontiguousarray(other), 1 / 3)
        assert turned.block_px == pytest.approx(as_it_is.block_px, rel=0.01)
        assert turned.step == pytest.approx(as_it_is.step, rel=0.2)


@pytest.mark.parametrize("name", ["coffee.png", "camera.png", "brick.png", "grass.png",
                                  "astronaut.png"])
def test_no_grid_in_pictures_without_one(name: str) -> None:
    photo = photograph(name)
    for picture, share in ((enlarged(photo, 2.37), 1 / 2.37), (enlarged(photo, 3.0), 1 / 3),
                           (cv2.GaussianBlur(photo, (0, 0), 1.5), 0.24)):
        assert found(np.asarray(picture, np.uint8), share).step == 0


def test_a_grating_in_one_direction_is_no_grid() -> None:
    y, x = np.mgrid[0:900, 0:1200]
    fence = np.where(x % 24 < 12, 120, 124) + np.random.default_rng(0).integers(0, 3, y.shape)
    assert found(fence.astype(np.uint8), 1 / 3).step == 0


def test_nothing_is_sought_where_little_was_enlarged_or_nothing_is_known() -> None:
    picture = enlarged(jpeg(photograph("coffee.png"), 30), 1.25)
    tiles = picture_tiles(*picture.shape)
    assert enlarged_blocks(picture, tiles, share=0.8).step == 0
    assert enlarged_blocks(picture, tiles, share=None).step == 0
    assert found(picture[:40, :40], 0.5).step == 0
