"""No sound picture is called damaged by the look at its pixels.

The photographs are the demo's and those that ship inside the scikit-image wheel
(``skimage/data``; S. van der Walt et al. 2014, "scikit-image: image processing in Python",
PeerJ 2:e453), whole and in pieces, made smaller and coded as JPEG of many kinds; beside them made
drawings of the edges that a break in the coding looks most like: horizons at every height, skies
that were coded coarsely, screens of text, boxes and stairs.

By hand, November 2026: none of 77 sound pictures is called damaged, those of the scikit-image and
scikit-learn wheels, the demo's, and the photographs and drawings of the Debian packages
mate-backgrounds and lomiri-wallpapers-16.04.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
import skimage
from numpy.typing import NDArray
from PIL import Image

from preflight.art.artwork import open_artwork
from preflight.art.artwork_pixels import load_pixels
from preflight.photo_quality.damage_facts import seen_damage
from tests.hostile.damaged_pictures import ROOT

PICTURES = [*sorted((Path(skimage.__file__).parent / "data").glob("*.png")),
            *sorted((Path(skimage.__file__).parent / "data").glob("*.jpg")),
            *(ROOT / "demo_art" / name for name in ("proof.jpg", "film_crop.png",
                                                    "estuary_and_heath.jpg"))]
Pixels = NDArray[np.uint8]


def said_of(data: bytes, folder: Path) -> list[str]:
    path = folder / "picture"
    path.write_bytes(data)
    return [damage.says for damage in seen_damage(load_pixels(open_artwork(path)))]


def coded(picture: Image.Image, **how: Any) -> bytes:
    stream = io.BytesIO()
    picture.save(stream, "JPEG", **how)
    return stream.getvalue()


@pytest.mark.parametrize("path", PICTURES, ids=lambda path: path.name)
def test_photographs(path: Path, tmp_path: Path) -> None:
    assert not said_of(path.read_bytes(), tmp_path)
    random = np.random.default_rng(len(path.name))
    with Image.open(path) as image:
        plain = image.convert("L" if image.mode in {"1", "L", "I;16"} else "RGB")
    for number in range(6):
        scale = random.uniform(0.3, 1.0)
        wide, tall = (int(min(side, random.integers(400, 1600) / scale)) for side in plain.size)
        left, top = (int(random.integers(0, most - side + 1)) for side, most in
                     zip((wide, tall), plain.size, strict=True))
        piece = plain.crop((left, top, left + wide, top + tall)).resize(
            (max(160, int(wide * scale)), max(160, int(tall * scale))))
        assert not said_of(coded(piece, quality=int(random.integers(60, 97)),
                                 subsampling=number % 3, progressive=number == 5), tmp_path)


def made_edges() -> Iterator[tuple[str, Pixels]]:
    """Pictures with the sharpest edges that a picture can have, 480 × 360."""
    y, x = np.mgrid[0:360, 0:480]
    for height in range(120, 137):
        sea = np.where(y >= height, 70, 200).astype(np.uint8)
        yield f"horizon at {height}", np.dstack([sea, sea, sea + 20])
        slanted = np.where(y >= height + x // 30, 70, 200).astype(np.uint8)
        yield f"slanted horizon at {height}", np.dstack([slanted] * 3)
    for step in (8, 16):
        stairs = np.where(y >= 100 + x // 60 * step, 60, 220).astype(np.uint8)
        yield f"stairs of {step}", np.dstack([stairs] * 3)
        box = np.full((360, 480), 230, np.uint8)
        box[160:160 + step, 200:] = 40
        yield f"a bar of {step} to the right edge", np.dstack([box] * 3)
        board = ((y // step + x // step) % 2 * 255).astype(np.uint8)
        yield f"chessboard of {step}", np.dstack([board] * 3)
    page = np.full((360, 480, 3), 255, np.uint8)
    for row in range(20):
        cv2.putText(page, "Fen Lane 158 " * 4, (4, 16 * row + 12), cv2.FONT_HERSHEY_SIMPLEX, 0.4,
                    (0, 0, 0), 1, cv2.LINE_AA)
    yield "a screen of text", page
    framed = np.full((360, 480, 3), 128, np.uint8)
    framed[32:328, 32:448] = (x[32:328, 32:448] // 2 % 256)[:, :, None]
    yield "a grey frame", framed
    for slope in (0.05, 0.2, 0.6):
        sky = (120 + slope * y + 0.03 * x).astype(np.uint8)
        yield f"sky of slope {slope}", np.dstack([sky, sky + 10, np.full_like(sky, 230)])


def test_made_edges(tmp_path: Path) -> None:
    for name, pixels in made_edges():
        picture = Image.fromarray(pixels)
        stream = io.BytesIO()
        picture.save(stream, "PNG")
        assert not said_of(stream.getvalue(), tmp_path), name
        for quality in (30, 60, 90):
            for subsampling in (0, 2):
                assert not said_of(coded(picture, quality=quality, subsampling=subsampling),
                                   tmp_path), (name, quality)
