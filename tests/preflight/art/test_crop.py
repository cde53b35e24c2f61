"""A cropped picture is the whole one with its sides cut off, however it is stored.

Source of the turns: Pillow's ``ImageOps.exif_transpose``, a reader of the Exif tag of other hands.
"""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageOps

from preflight.art.art_plane import photo_plane
from preflight.art.artwork import open_artwork
from preflight.art.artwork_pixels import load_pixels
from preflight.art.crop import Crop
from preflight.art.placement import Placement, place
from preflight.frames.raster_grid import RasterGrid
from preflight.input_problem import InputProblem

RANDOM = np.random.default_rng(17)
CROP = Crop(left=0.1, right=0.25, top=0.2, bottom=0.05)


def saved(path: Path, pixels: NDArray[np.uint8], orientation: int = 1) -> Path:
    image = Image.fromarray(pixels)
    exif = image.getexif()
    exif[0x0112] = orientation
    image.save(path, exif=exif.tobytes(), quality=95, subsampling=0)
    return path


def seen_upright(path: Path, crop: Crop) -> NDArray[np.uint8]:
    """The picture as it is looked at, a pixel of its own to each of the grid's."""
    art = open_artwork(path, crop=crop)
    rows, columns = art.height_px, art.width_px
    placed = place(columns, rows, (0.0, 0.0, float(rows), float(columns)),
                   Placement(how="scale", art_width_mm=float(columns)), where="art")
    grid = RasterGrid(top_x_mm=float(rows), left_y_mm=float(columns), pixel_mm=1.0, rows=rows,
                      columns=columns)
    return np.asarray(photo_plane(art, placed, grid).rgb, np.uint8)


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("ending", [".png", ".jpg"])
def test_a_crop_is_of_the_picture_as_it_is_looked_at(tmp_path: Path, orientation: int,
                                                     ending: str) -> None:
    path = saved(tmp_path / f"a{ending}", RANDOM.integers(0, 256, (60, 101, 3), dtype=np.uint8),
                 orientation)
    with Image.open(path) as stored:
        upright = np.asarray(ImageOps.exif_transpose(stored))
    high, wide = upright.shape[:2]
    ends = [int(np.floor(size * share + 0.5)) for size, share in (
        (high, CROP.top), (high, CROP.bottom), (wide, CROP.left), (wide, CROP.right))]
    wanted = upright[ends[0]:high - ends[1], ends[2]:wide - ends[3]]
    seen = seen_upright(path, CROP)
    assert seen.shape == wanted.shape
    assert np.abs(seen.astype(int) - wanted).max() <= (0 if ending == ".png" else 3)


@pytest.mark.parametrize("shape", [(50, 80), (50, 80, 3), (50, 80, 4)])
def test_sixteen_bits_are_kept(tmp_path: Path, shape: tuple[int, ...]) -> None:
    pixels = RANDOM.integers(0, 65536, shape, dtype=np.uint16)
    cv2.imwrite(str(tmp_path / "a.png"), pixels)
    art = open_artwork(tmp_path / "a.png", crop=Crop(left=0.5, top=0.1))
    loaded = load_pixels(art)
    whole = load_pixels(art.uncropped).band(0, 50)
    assert (loaded.rows, loaded.columns, loaded.top) == (45, 40, 65535)
    assert np.array_equal(loaded.band(0, 45), whole[5:, 40:])
    assert np.array_equal(loaded.made_ready().band(3, 9), whole[8:14, 40:])


def test_nothing_cut_off_is_the_picture_itself(tmp_path: Path) -> None:
    path = saved(tmp_path / "a.png", RANDOM.integers(0, 256, (30, 40, 3), dtype=np.uint8))
    assert open_artwork(path, crop=Crop(left=0.01)) == open_artwork(path)


def test_a_crop_that_leaves_nothing_is_refused(tmp_path: Path) -> None:
    path = saved(tmp_path / "a.png", RANDOM.integers(0, 256, (30, 40, 3), dtype=np.uint8))
    with pytest.raises(InputProblem, match="a crop that leaves 4 × 30 pixels"):
        open_artwork(path, crop=Crop(left=0.5, right=0.4))
