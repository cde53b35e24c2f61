"""Each measure on pictures whose fault is known: in order, faulty, absurd."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.photo_quality.banding import banding
from preflight.photo_quality.clipping import clipping
from preflight.photo_quality.detail_windows import picture_tiles
from preflight.photo_quality.jpeg_blocking import jpeg_blocking
from preflight.photo_quality.noise import cell_noise
from preflight.photo_quality.true_resolution import true_resolution

L_STAR = np.linspace(0, 100, 256)
Grey = NDArray[np.uint8]


def natural(side: int = 512, slope: float = 1.0) -> Grey:
    """A picture with a natural spectrum: amplitude falls as 1 / frequency^slope. Invented."""
    rng = np.random.default_rng(7)
    f = np.hypot(np.fft.fftfreq(side)[:, None], np.fft.rfftfreq(side)[None])
    f[0, 0] = 1
    field = np.fft.irfft2(np.fft.rfft2(rng.normal(size=(side, side))) / f**slope, s=(side, side))
    return np.asarray(np.clip(128 + 40 * field / field.std(), 0, 255), np.uint8)


def sky(step: float = 1.0, noise: float = 0.0) -> Grey:
    """A gradient over 120 levels in steps."""
    row = np.linspace(90, 210, 900)
    picture = np.tile(np.floor(row / step) * step, (400, 1))
    return np.asarray(picture + np.random.default_rng(3).normal(0, noise, picture.shape), np.uint8)


def jpeg(picture: NDArray[Any], quality: int) -> Grey:
    coded = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    return np.asarray(cv2.imdecode(coded, cv2.IMREAD_UNCHANGED), np.uint8)


def absurd(kind: str) -> Grey:
    rng = np.random.default_rng(5)
    return {"constant": np.full((300, 400), 127, np.uint8), "black": np.zeros((300, 400), np.uint8),
            "noise": rng.integers(0, 256, (300, 400), dtype=np.uint8),
            "tiny": np.full((1, 1), 9, np.uint8), "line": np.arange(8, dtype=np.uint8)[None],
            "small": rng.integers(0, 256, (8, 8), dtype=np.uint8)}[kind]


def test_an_untouched_picture_is_worth_its_pixels() -> None:
    found = true_resolution(natural())
    assert found.fraction is not None
    assert found.fraction > 0.85
    assert found.enlarged_by is None


@pytest.mark.parametrize("factor", [1.6, 2.3, 3.0])
@pytest.mark.parametrize("kernel", [cv2.INTER_LINEAR, cv2.INTER_CUBIC, cv2.INTER_LANCZOS4])
def test_an_enlarged_picture_is_worth_its_original(factor: float, kernel: int) -> None:
    large = cv2.resize(natural(300), None, fx=factor, fy=factor, interpolation=kernel)
    found = true_resolution(np.asarray(large, np.uint8))
    assert found.fraction == pytest.approx(1 / factor, rel=0.15)


@pytest.mark.parametrize("sigma", [0.8, 1.2, 2.0])
def test_a_blurred_picture_is_worth_half_its_contrast(sigma: float) -> None:
    # A Gaussian passes half at f = sqrt(ln 2 / 2) / (π σ) cycles per pixel; Nyquist is 1/2.
    blurred = cv2.GaussianBlur(natural(), (0, 0), sigma)
    half = 2 * np.sqrt(np.log(2) / 2) / (np.pi * sigma)
    found = true_resolution(np.asarray(blurred, np.uint8), with_map=False)
    assert found.fraction == pytest.approx(half, rel=0.2)


def test_blur_in_one_direction_is_told_apart() -> None:
    moved = np.asarray(cv2.blur(natural(), (5, 1)), np.uint8)
    found = true_resolution(moved, with_map=False)
    assert found.along_rows < 0.6 * found.along_columns


def test_sixteen_bits_read_as_eight_do() -> None:
    eight = np.asarray(cv2.resize(natural(256), None, fx=2, fy=2, interpolation=cv2.INTER_CUBIC),
                       np.uint8)
    deep = eight.astype(np.uint16) * 257
    assert true_resolution(deep, top=65535).fraction == true_resolution(eight).fraction


def test_the_map_finds_the_soft_half() -> None:
    picture = natural(768)
    picture[:, :384] = cv2.GaussianBlur(picture, (0, 0), 2.0)[:, :384]
    local = true_resolution(picture).local
    half = local.shape[1] // 2
    assert np.nanmedian(local[:, :half - 2]) < 0.6 * np.nanmedian(local[:, half + 1:])


@pytest.mark.parametrize("kind", ["constant", "black", "tiny", "line", "small", "noise"])
def test_absurd_pictures_raise_no_alarm_and_no_fault(kind: str) -> None:
    picture = absurd(kind)
    tiles = picture_tiles(*picture.shape)
    fraction = true_resolution(picture).fraction
    assert fraction is not None and fraction > 0.85 if kind == "noise" else fraction is None
    assert jpeg_blocking(picture, tiles).step == 0
    found = banding(picture, tiles)
    assert found.stepped < 0.002
    ends = clipping(picture[:, :, None], tiles)
    assert ends.blocked == pytest.approx({"black": 1.0}.get(kind, ends.blocked))
    assert ends.blown < 0.01
    noise = cell_noise(picture, 2.0, L_STAR)
    assert noise.l_star > 2 if kind == "noise" else noise.l_star < 0.01
    assert kind != "noise" or noise.is_fine


@pytest.mark.parametrize(("quality", "least", "most"),
                         [(98, 0, 0.3), (92, 0, 0.3), (50, 0.35, 2.0), (15, 0.8, 4.0)])
def test_jpeg_blocks_are_found_wherever_the_grid_begins(
    quality: int, least: float, most: float
) -> None:
    picture = natural(512, 1.5)[:, :]
    coded = jpeg(picture, quality)[3:, 5:]
    found = jpeg_blocking(coded, picture_tiles(*coded.shape))
    assert least <= found.step * 0.4 <= most
    if least:
        assert found.phase == (5, 3)  # 8 − 3 rows, 8 − 5 columns


def test_a_picture_never_compressed_has_no_blocks() -> None:
    for slope in (1.0, 1.5):
        picture = natural(512, slope)
        assert jpeg_blocking(picture, picture_tiles(*picture.shape)).step == 0


@pytest.mark.parametrize(("picture", "bands"), [
    (sky(), False), (sky(noise=1.0), False), (jpeg(sky(), 92), False), (natural(), False),
    (sky(8), True), (sky(4), True), (jpeg(sky(8), 92), True)])
def test_a_posterised_sky_is_told_from_a_smooth_one(picture: Grey, bands: bool) -> None:
    found = banding(picture, picture_tiles(*picture.shape))
    assert (found.stepped > 0.01) is bands
    assert found.stepped < 0.002 or bands


def test_the_map_of_stairs_tells_where_and_which_share() -> None:
    picture = sky()
    half = picture.shape[1] // 2
    picture[:, :half] = sky(8)[:, :half]
    local = banding(picture, picture_tiles(*picture.shape)).local
    middle = local.shape[1] // 2
    assert 0 <= local.min() <= local.max() <= 1
    assert local[:, :middle - 1].mean() > 0.2
    assert local[:, middle + 1:].max() < 0.01


def test_missing_levels() -> None:
    tiles = picture_tiles(512, 512)
    assert banding(natural(), tiles).missing < 0.05
    assert banding((natural() >> 3) << 3, tiles).missing == pytest.approx(7 / 8, abs=0.03)


def test_clipped_ends_count_where_all_channels_run_out() -> None:
    picture = np.full((400, 400, 3), 128, np.uint8)
    picture[:100] = 255
    picture[300:340, :200] = 0
    picture[200:220] = (255, 128, 0)  # a pure colour holds detail
    picture[150::7, ::9] = 255  # glints
    found = clipping(picture, picture_tiles(400, 400))
    assert found.blown == pytest.approx(0.25, abs=0.006)
    assert found.blocked == pytest.approx(0.05, abs=0.003)


@pytest.mark.parametrize("sigma", [2.0, 6.0])
@pytest.mark.parametrize("cell_px", [1.0, 2.0, 4.0])
def test_noise_is_averaged_by_the_halftone_cell(sigma: float, cell_px: float) -> None:
    flat = np.random.default_rng(2).normal(128, sigma, (800, 800)).round().astype(np.uint8)
    found = cell_noise(flat, cell_px, L_STAR)
    assert found.l_star == pytest.approx(sigma / cell_px * 100 / 255, rel=0.2)
    assert found.is_fine
