"""Picture files of all kinds, sound and broken: facts and pixels."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageCms

from preflight.art import artwork as artwork_module
from preflight.art.artwork import Artwork, open_artwork
from preflight.art.artwork_pixels import load_pixels
from preflight.input_problem import InputProblem

RANDOM = np.random.default_rng(7)
RGB = RANDOM.integers(0, 256, (20, 30, 3), dtype=np.uint8)
DEEP = RANDOM.integers(0, 65536, (20, 30, 3), dtype=np.uint16)
ALPHA = RANDOM.integers(0, 256, (20, 30, 1), dtype=np.uint8)
SRGB_BYTES = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def read(path: Path) -> tuple[Artwork, NDArray[Any]]:
    art = open_artwork(path)
    pixels = load_pixels(art)
    return art, pixels.band(0, pixels.rows)


@pytest.mark.parametrize("suffix", ["png", "tif", "bmp", "webp", "ppm"])
def test_lossless_formats_give_their_pixels(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"art.{suffix}"
    options: dict[str, Any] = {"lossless": True} if suffix == "webp" else {}
    Image.fromarray(RGB).save(path, **options)
    art, pixels = read(path)
    assert (art.width_px, art.height_px, art.bit_depth) == (30, 20, 8)
    assert not art.has_profile
    assert art.colour.assumed
    assert "sRGB is assumed" in art.remarks[0]
    assert np.array_equal(pixels, RGB)


def test_jpeg_is_read(tmp_path: Path) -> None:
    Image.fromarray(np.full((20, 30, 3), (200, 100, 50), np.uint8)).save(tmp_path / "a.jpg")
    _, pixels = read(tmp_path / "a.jpg")
    assert np.abs(pixels.astype(int) - (200, 100, 50)).max() <= 3


@pytest.mark.parametrize("suffix", ["png", "tiff"])
@pytest.mark.parametrize("channels", [3, 4])
def test_sixteen_bits_are_kept(tmp_path: Path, suffix: str, channels: int) -> None:
    path = tmp_path / f"deep.{suffix}"
    deep = np.dstack([DEEP, DEEP[:, :, :1]]) if channels == 4 else DEEP
    order = [2, 1, 0, 3][:channels]
    cv2.imwrite(str(path), np.ascontiguousarray(deep[:, :, order]))
    art, pixels = read(path)
    assert art.bit_depth == 16
    assert art.has_alpha == (channels == 4)
    assert pixels.dtype == np.uint16
    assert np.array_equal(pixels, deep)


@pytest.mark.parametrize("suffix", ["png", "tiff"])
def test_sixteen_bit_grey_is_kept(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"grey.{suffix}"
    Image.fromarray(DEEP[:, :, 0]).save(path)
    art, pixels = read(path)
    assert art.bit_depth == 16
    assert np.array_equal(pixels[:, :, 0], DEEP[:, :, 0])


def test_white_is_zero_grey_is_turned_round(tmp_path: Path) -> None:
    path = tmp_path / "negative.tif"
    Image.fromarray(DEEP[:, :, 0]).save(path, tiffinfo={262: 0})
    art, pixels = read(path)
    assert art.inverted
    assert np.array_equal(pixels[:, :, 0], 65535 - DEEP[:, :, 0])


@pytest.mark.parametrize(("mode", "channels"), [
    ("1", 1), ("L", 1), ("LA", 2), ("P", 3), ("RGBA", 4)])
def test_every_mode_becomes_its_channels(tmp_path: Path, mode: str, channels: int) -> None:
    picture = Image.fromarray(RGB if mode == "P" else np.dstack([RGB, ALPHA])).convert(mode)
    picture.save(tmp_path / "a.png")
    art, pixels = read(tmp_path / "a.png")
    assert pixels.shape == (20, 30, channels)
    wanted = picture.convert(("L", "LA", "RGB", "RGBA")[channels - 1])
    assert np.array_equal(pixels.reshape(20, 30, channels),
                          np.asarray(wanted).reshape(20, 30, channels))
    assert art.has_alpha == (channels in {2, 4})


def test_transparent_palette_entry_is_alpha(tmp_path: Path) -> None:
    picture = Image.fromarray(RGB).quantize(16)
    picture.save(tmp_path / "a.png", transparency=3)
    art, pixels = read(tmp_path / "a.png")
    assert art.has_alpha
    assert np.array_equal(pixels[:, :, 3] == 0, np.asarray(picture) == 3)


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("suffix", ["jpg", "png", "tif"])
def test_camera_orientation_is_honoured(tmp_path: Path, suffix: str, orientation: int) -> None:
    upright = np.zeros((24, 40), dtype=np.uint8)
    upright[:8, :8] = 255  # bright in the top left corner once looked at
    upright[16:, :8] = 128
    undo: dict[int, Callable[[Any], Any]] = {
        1: lambda a: a, 2: np.fliplr, 3: lambda a: a[::-1, ::-1], 4: np.flipud,
        5: lambda a: a.T, 6: np.rot90, 7: lambda a: a.T[::-1, ::-1],
        8: lambda a: np.rot90(a, 3)}
    path = tmp_path / f"a.{suffix}"
    exif = Image.Exif()
    exif[0x0112] = orientation
    Image.fromarray(np.ascontiguousarray(undo[orientation](upright))).save(path, exif=exif)
    art = open_artwork(path)
    assert (art.width_px, art.height_px) == (40, 24)
    pixels = load_pixels(art)
    stored = pixels.band(0, pixels.rows)[:, :, 0]
    for (u, v), value in {(4.5, 4.5): 255, (4.5, 20.5): 128, (30.5, 4.5): 0}.items():
        column, row, _ = pixels.from_art @ [u, v, 1.0]
        assert abs(int(stored[int(row), int(column)]) - value) < 20


def test_embedded_profile_is_named_and_used(tmp_path: Path) -> None:
    Image.fromarray(RGB).save(tmp_path / "a.png", icc_profile=SRGB_BYTES)
    art, _ = read(tmp_path / "a.png")
    assert art.has_profile
    assert art.profile_name == "sRGB built-in"
    assert not art.colour.assumed
    assert not art.converts_colour
    assert art.remarks == ()


def test_broken_profile_is_told_and_srgb_assumed(tmp_path: Path) -> None:
    Image.fromarray(RGB).save(tmp_path / "a.png", icc_profile=SRGB_BYTES[:200])
    art, pixels = read(tmp_path / "a.png")
    assert art.colour.assumed
    assert "cannot be used" in art.remarks[0]
    assert np.array_equal(pixels, RGB)


def test_cmyk_without_profile_is_read_and_flagged(tmp_path: Path) -> None:
    Image.new("CMYK", (20, 20), (0, 255, 255, 0)).save(tmp_path / "a.tif")
    art, pixels = read(tmp_path / "a.tif")
    assert any("guess" in remark for remark in art.remarks)
    assert pixels[5, 5].tolist() == [255, 0, 0]


def test_lab_pixels_become_srgb(tmp_path: Path) -> None:
    Image.new("LAB", (20, 20), (128, 128, 128)).save(tmp_path / "a.tif")
    art, pixels = read(tmp_path / "a.tif")
    assert art.converts_colour
    assert np.abs(pixels[5, 5].astype(int) - 119).max() <= 2  # L* = 50


def test_jpeg_far_finer_than_wanted_is_decoded_smaller(tmp_path: Path) -> None:
    Image.fromarray(RGB.repeat(20, axis=0).repeat(20, axis=1)).save(tmp_path / "a.jpg")
    art = open_artwork(tmp_path / "a.jpg")
    assert load_pixels(art, shrink=3.9).reduction == 1
    assert load_pixels(art, shrink=4.0).reduction == 2
    small = load_pixels(art, shrink=17.0)
    assert (small.reduction, small.rows, small.columns) == (8, 50, 75)


def broken(folder: Path, kind: str) -> Path:
    path = folder / f"art-{kind}"
    noise = RANDOM.integers(0, 256, (200, 300, 3), dtype=np.uint8)
    if kind == "text.png":
        path.write_text("no picture")
    elif kind == "empty.png":
        path.write_bytes(b"")
    elif kind == "tiny.png":
        Image.fromarray(noise[:1, :1]).save(path)
    elif kind == "moving.webp":
        frames = [Image.fromarray(noise), Image.fromarray(255 - noise)]
        frames[0].save(path, save_all=True, append_images=frames[1:])
    elif kind == "pages.tif":
        Image.fromarray(noise).save(path, save_all=True, append_images=[Image.fromarray(noise)])
    elif kind == "float.tif":
        Image.fromarray(noise[:, :, 0].astype(np.float32)).save(path)
    elif kind.startswith("cut"):
        if "deep" in kind:
            cv2.imwrite(str(path), noise.astype(np.uint16) * 257)
        else:
            Image.fromarray(noise).save(path)
        path.write_bytes(path.read_bytes()[:path.stat().st_size // 2])
    return path


@pytest.mark.parametrize("kind", [
    "missing.png", "text.png", "empty.png", "tiny.png", "moving.webp", "pages.tif", "float.tif",
    "cut.png", "cut.jpg", "cut.tif", "cut.webp", "cut.bmp", "cut-deep.png", "cut-deep.tiff"])
def test_unusable_pictures_are_told_in_one_sentence(
        tmp_path: Path, kind: str, capfd: pytest.CaptureFixture[str]) -> None:
    path = broken(tmp_path, kind)
    with pytest.raises(InputProblem) as caught:
        read(path)
    assert caught.value.where == str(path)
    assert "\n" not in str(caught.value)
    assert capfd.readouterr().out == ""


def test_folder_is_no_picture(tmp_path: Path) -> None:
    with pytest.raises(InputProblem):
        open_artwork(tmp_path)


def test_our_own_pixel_limit_holds(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    Image.fromarray(RGB).save(tmp_path / "a.png")
    monkeypatch.setattr(artwork_module, "MOST_PIXELS", 599)
    with pytest.raises(InputProblem, match="30 × 20 pixels"):
        open_artwork(tmp_path / "a.png")


def test_pillows_limit_neither_bites_nor_is_changed(
        tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    Image.fromarray(RGB).save(tmp_path / "a.png")
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", 10)
    assert read(tmp_path / "a.png")[0].width_px == 30
    assert Image.MAX_IMAGE_PIXELS == 10


def test_damaged_bytes_never_escape_as_anything_else(
        tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(artwork_module, "MOST_PIXELS", 1_000_000)
    random = np.random.default_rng(3)
    for suffix in ("png", "jpg", "tif", "webp"):
        path = tmp_path / f"a.{suffix}"
        Image.fromarray(RGB).save(path)
        sound = np.frombuffer(path.read_bytes(), dtype=np.uint8)
        for _ in range(60):
            damaged = sound.copy()
            damaged[random.integers(0, min(len(sound), 400), 4)] = random.integers(0, 256, 4)
            path.write_bytes(damaged.tobytes())
            try:
                read(path)
            except InputProblem:
                continue
