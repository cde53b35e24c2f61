"""The rise of edges, the beat of enlarging, and the marks of noise filters, on known pictures."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.photo_quality.detail_windows import picture_tiles
from preflight.photo_quality.edge_rise import edge_rise
from preflight.photo_quality.filtered_texture import filtered_texture
from preflight.photo_quality.jpeg_blocking import jpeg_blocking
from preflight.photo_quality.resampling_period import find_beat

Grey = NDArray[np.uint8]


def leaves(side: int = 512, count: int = 1500) -> Grey:
    """Discs of many sizes and tones on each other, with fine texture. Invented."""
    rng = np.random.default_rng(11)
    picture = np.full((4 * side, 4 * side), 128, np.uint8)
    for radius in np.sort(np.minimum(24 / rng.random(count), 1200))[::-1]:
        x, y = rng.integers(0, 4 * side, 2)
        cv2.circle(picture, (int(x), int(y)), int(radius), int(rng.integers(10, 245)), -1)
    small = cv2.resize(picture, (side, side), interpolation=cv2.INTER_AREA).astype(np.float32)
    fine = cv2.GaussianBlur(rng.normal(0, 1, small.shape).astype(np.float32), (0, 0), 0.7)
    grain = small + 2.5 * fine / fine.std()
    return np.asarray(np.clip(grain, 0, 255), np.uint8)


def jpeg(picture: Grey, quality: int) -> Grey:
    coded = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    return np.asarray(cv2.imdecode(coded, cv2.IMREAD_UNCHANGED), np.uint8)


@pytest.mark.parametrize("sigma", [1.0, 2.0, 3.0])
def test_an_edge_rises_as_its_blur_says(sigma: float) -> None:
    # A step blurred by a Gaussian: height over steepest slope is sqrt(2 π) sigma.
    step = np.where(np.arange(400) // 50 % 2, 200.0, 40.0)
    edges = cv2.GaussianBlur(np.tile(step, (200, 1)).astype(np.float32), (0, 0), sigma)
    noisy = edges + np.random.default_rng(1).normal(0, 3, edges.shape).astype(np.float32)
    expected = np.sqrt(2 * np.pi * (sigma**2 + 0.5**2))
    found, under_noise = edge_rise(edges), edge_rise(noisy)
    assert found == pytest.approx(expected, rel=0.06)
    assert under_noise == pytest.approx(expected, rel=0.15)


@pytest.mark.parametrize(("sharp", "sigma"), [(9, 1.0), (7, 3.0)])
def test_the_sharpest_fifth_of_the_edges_stands_for_the_picture(sharp: int, sigma: float) -> None:
    """Of 39 edges alike in height some are sharp and all others soft: a fifth are 7.8."""
    step = np.where(np.arange(2000) // 50 % 2, 200.0, 40.0)
    rows = np.tile(step, (60, 1)).astype(np.float32)
    edges = np.where(np.arange(2000) < 25 + 50 * sharp, cv2.GaussianBlur(rows, (0, 0), 1.0),
                     cv2.GaussianBlur(rows, (0, 0), 3.0))
    assert edge_rise(edges.astype(np.float32)) == pytest.approx(
        np.sqrt(2 * np.pi * (sigma**2 + 0.5**2)), rel=0.06)


def test_there_is_no_rise_without_edges() -> None:
    assert edge_rise(np.full((100, 100), 9, np.float32)) is None
    assert edge_rise(np.zeros((8, 8), np.float32)) is None


@pytest.mark.parametrize("factor", [1.7, 2.3, 3.5])
@pytest.mark.parametrize("quality", [None, 90, 75])
def test_the_beat_outlasts_compression(factor: float, quality: int | None) -> None:
    large = cv2.resize(leaves(400), None, fx=factor, fy=factor, interpolation=cv2.INTER_CUBIC)
    picture = jpeg(np.asarray(large, np.uint8), quality) if quality else large
    beat = find_beat(picture.astype(np.float32))
    assert beat.strength > 4.3
    assert min(abs(edge * factor - 1) for edge in beat.edges) < 0.01


def test_compression_alone_leaves_no_beat() -> None:
    for quality in (95, 85, 70):
        assert find_beat(jpeg(leaves(), quality).astype(np.float32)).strength < 5.5
    assert find_beat(np.zeros((300, 300), np.float32)).strength == 0
    y, x = np.mgrid[:360, :1240]
    smooth = np.floor(128 + 70 * np.sin(x / 90) * np.cos(y / 70) + x / 30)  # its steps beat
    assert find_beat(smooth.astype(np.float32)).strength == 0


def test_blocks_stand_out_against_any_other_grid() -> None:
    picture = leaves()
    tiles = picture_tiles(*picture.shape)
    assert jpeg_blocking(picture, tiles).step == 0
    whole = jpeg_blocking(jpeg(picture, 30), tiles)
    assert whole.phase == (0, 0)
    assert whole.step > 0.5


def test_what_any_other_grid_shows_as_well_is_taken_off() -> None:
    rng = np.random.default_rng(4)

    def steps(levels: float) -> NDArray[np.float64]:
        return np.asarray(np.kron(rng.normal(0, levels, (50, 50)), np.ones((8, 8))))

    one = 120 + steps(2.0)
    both = one + np.roll(steps(1.6), (4, 4), axis=(0, 1))
    tiles = picture_tiles(*one.shape)
    alone, among = (jpeg_blocking(np.asarray(p, np.uint8), tiles).step for p in (one, both))
    assert alone > 1
    assert among < 0.5 * alone


@pytest.mark.parametrize("name", ["median", "edge-keeping", "non-local"])
def test_a_noise_filter_leaves_marks(name: str) -> None:
    picture = leaves()
    done = {"median": lambda: cv2.medianBlur(picture, 5),
            "edge-keeping": lambda: cv2.bilateralFilter(picture, 9, 50, 5),
            "non-local": lambda: cv2.fastNlMeansDenoising(picture, None, 10, 7, 15)}[name]()
    tiles = picture_tiles(*picture.shape)
    plain, filtered = (filtered_texture(np.asarray(p, np.uint8), tiles) for p in (picture, done))
    assert plain.marks <= 1 < filtered.marks
    assert filtered.worst_px is not None
    deep = np.asarray(done, np.uint16) * np.uint16(257)
    assert filtered_texture(deep, tiles, top=65535).marks == pytest.approx(filtered.marks, rel=1e-4)


def test_what_has_no_texture_is_not_judged() -> None:
    sky = np.tile(np.linspace(90, 210, 900).astype(np.uint8), (400, 1))
    for picture in (sky, np.zeros((300, 300), np.uint8), np.zeros((1, 1), np.uint8)):
        assert filtered_texture(picture, picture_tiles(*picture.shape)).marks == 0
    noise = np.random.default_rng(5).integers(0, 256, (300, 400), dtype=np.uint8)
    assert filtered_texture(noise, picture_tiles(*noise.shape)).marks == 0
