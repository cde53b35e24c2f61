"""A proof's PNG file holds the picture, pixel by pixel, and says how large it is."""

from __future__ import annotations

import io

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from separations.proof import proof_png as module
from separations.proof.paeth_kernel import paeth_rows
from separations.proof.proof_png import proof_png


def picture(rows: int, columns: int) -> NDArray[np.uint8]:
    """A gradient with noise, flat parts and the ends of the scale."""
    rng = np.random.default_rng(rows)
    levels = np.add.outer(np.linspace(0, 200, rows), np.linspace(-30, 90, columns))
    levels = np.clip(levels[..., None] + rng.normal(0, 9, (rows, columns, 3)), 0, 255)
    levels[:, columns // 2:columns // 2 + 9] = 255
    return levels.astype(np.uint8)


@pytest.mark.parametrize(("rows", "columns"), [(1, 1), (1, 40), (53, 1), (90, 64)])
@pytest.mark.parametrize("band_bytes", [1, 500, 1 << 20])
def test_another_reader_finds_the_same_pixels(
    rows: int, columns: int, band_bytes: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "_BAND_BYTES", band_bytes)
    srgb = picture(rows, columns)
    data = proof_png(srgb, 100.0)
    assert data == proof_png(srgb.copy(), 100.0)
    with Image.open(io.BytesIO(data)) as read:
        read.verify()  # every chunk's check sum
    with Image.open(io.BytesIO(data)) as read:
        assert read.mode == "RGB"
        assert read.info["dpi"] == pytest.approx((100.0, 100.0), abs=0.01)
        assert np.array_equal(np.asarray(read), srgb)


def test_a_picture_lying_on_its_side_in_memory_will_do() -> None:
    srgb = picture(40, 30)
    with Image.open(io.BytesIO(proof_png(np.rot90(srgb), 72.0))) as read:
        assert np.array_equal(np.asarray(read), np.rot90(srgb))


def test_rows_are_filtered_as_the_standard_has_it() -> None:
    levels = picture(12, 20).reshape(12, 60)
    found = np.empty((9, 61), np.uint8)
    paeth_rows(levels, 3, 12, 3, found)
    assert (found[:, 0] == 4).all()
    whole = np.pad(levels.astype(int), ((1, 0), (3, 0)))
    for row in range(3, 12):
        for at in range(60):
            a, b, c = whole[row + 1, at], whole[row, at + 3], whole[row, at]
            near = min((abs(b - c), 0, a), (abs(a - c), 1, b), (abs(a + b - 2 * c), 2, c))[2]
            assert found[row - 3, 1 + at] == (whole[row + 1, at + 3] - near) % 256


def test_noise_is_hardly_longer_than_its_pixels() -> None:
    noise = np.random.default_rng(1).integers(0, 256, (300, 200, 3), dtype=np.uint8)
    assert len(proof_png(noise, 100.0)) < 1.01 * noise.size + 300
