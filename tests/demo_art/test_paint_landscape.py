"""The demo's picture and line work: painted small, and the committed files' headers."""

from __future__ import annotations

import struct
import sys
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

sys.path.append(str(Path(__file__).resolve().parents[2]))  # demo_art is not installed

from demo_art.painting.map_lines import END_RIM_MM, LONG_SIDE_RIM_MM, SHEET_MM, draw_map
from demo_art.painting.paint_landscape import (
    LINES_PATH,
    PHOTO_PATH,
    PHOTO_PX,
    SEED,
    paint,
    srgb_profile,
)

HEIGHT = 480


@pytest.fixture(scope="module")
def small() -> NDArray[np.uint8]:
    return paint(5 * HEIGHT, HEIGHT)


@pytest.mark.long
def test_same_seed_same_picture(small: NDArray[np.uint8]) -> None:
    assert small.shape == (HEIGHT, 5 * HEIGHT, 3)
    assert small.dtype == np.uint8
    assert np.array_equal(small, paint(5 * HEIGHT, HEIGHT))


@pytest.mark.long
def test_composition_does_not_depend_on_the_size(small: NDArray[np.uint8]) -> None:
    other = paint(1500, 300)  # painted 600 px high, then shrunk
    first = other.reshape(60, 5, 300, 5, 3).astype(float).mean(axis=(1, 3))
    second = small.reshape(60, 8, 300, 8, 3).astype(float).mean(axis=(1, 3))
    assert np.corrcoef(first.ravel(), second.ravel())[0, 1] > 0.97


@pytest.mark.long
def test_tones_reach_from_deep_shadow_to_the_sun(small: NDArray[np.uint8]) -> None:
    grey = small.astype(float) @ (0.30, 0.59, 0.11)
    low, middle, high = np.percentile(grey, [1, 50, 99])
    assert low < 30
    assert 80 < middle < 180
    assert high > 215


@pytest.mark.long
def test_colours_are_heath_water_and_evening_sky(small: NDArray[np.uint8]) -> None:
    def mean_at(u: float, v: float) -> NDArray[np.float64]:
        row, column = int(v * HEIGHT), int(u * HEIGHT)
        patch = small[row - 12:row + 12, column - 25:column + 25]
        return np.asarray(patch.reshape(-1, 3).mean(axis=0), dtype=np.float64)

    sun, water, heath = mean_at(3.28, 0.36), mean_at(2.2, 0.80), mean_at(4.2, 0.965)
    assert sun[0] > sun[2] + 50
    assert water[2] > water[0] + 20
    assert heath[0] > heath[1] + 8
    assert heath[2] > heath[1]


@pytest.mark.parametrize(("top", "left"), [(350, 2100), (270, 60), (350, 900)])
def test_detail_falls_like_a_photograph_does(small: NDArray[np.uint8], top: int, left: int) -> None:
    patch = small[top:top + 120, left:left + 120].astype(float).mean(axis=2)
    window = np.hanning(120)[:, None] * np.hanning(120)[None, :]
    power = np.abs(np.fft.fftshift(np.fft.fft2((patch - patch.mean()) * window))) ** 2
    radius = np.hypot(*(np.indices(power.shape) - 60))
    rings = np.array([4, 6, 9, 13, 19, 28, 41])
    mean = [power[(radius >= low) & (radius < 1.45 * low)].mean() for low in rings]
    slope = np.polyfit(np.log(rings), np.log(mean), 1)[0]
    assert -3.2 < slope < -0.5  # 0 would be white noise, -4 a smooth gradient
    assert patch.std() > 8.0


def test_committed_photo_is_as_stated() -> None:
    with Image.open(PHOTO_PATH) as photo:
        assert photo.size == PHOTO_PX
        assert photo.mode == "RGB"
        assert photo.info["icc_profile"] == srgb_profile()
    assert PHOTO_PATH.stat().st_size <= 3_000_000


def test_committed_lines_are_as_stated() -> None:
    with LINES_PATH.open("rb") as file:
        head = file.read(26)
    assert struct.unpack(">II2B", head[16:26]) == (25134, 4976, 8, 0)
    assert LINES_PATH.stat().st_size <= 1_000_000


@pytest.mark.long
def test_lines_are_sparse_and_keep_off_the_rims() -> None:
    ppi = 50.0
    sheet = draw_map(SEED, ppi)
    inked = np.argwhere(sheet < 200) * 25.4 / ppi
    least, greatest = inked.min(axis=0), inked.max(axis=0)
    assert least[0] >= LONG_SIDE_RIM_MM
    assert greatest[0] <= SHEET_MM[1] - LONG_SIDE_RIM_MM
    assert least[1] >= END_RIM_MM
    assert greatest[1] <= SHEET_MM[0] - END_RIM_MM
    assert 0.002 < 1.0 - sheet.mean() / 255.0 < 0.03


def test_demo_folder_says_that_all_is_invented() -> None:
    assert "invented" in (Path(PHOTO_PATH).parent / "README.md").read_text(encoding="utf-8")
