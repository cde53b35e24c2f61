"""Colour told by numbers in the file: what wins over what, against colour-science's own figures."""

from __future__ import annotations

import io
import struct
import warnings
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms

from preflight.art.artwork import Artwork, open_artwork
from preflight.art.artwork_pixels import load_pixels
from preflight.art.icc_profile import D50_XYZ
from preflight.input_problem import InputProblem

SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
GAMMA_1_8 = struct.pack(">I", 55_556)
WIDE = struct.pack(">8I", 31_270, 32_900, 73_470, 26_530, 11_520, 82_640, 15_660, 1_770)


def png(path: Path, *chunks: tuple[bytes, bytes], profile: bytes | None = None) -> Artwork:
    """A PNG of one colour with further chunks before its pixels."""
    stream = io.BytesIO()
    Image.new("RGB", (16, 16), (180, 90, 40)).save(stream, "PNG", icc_profile=profile)
    data = stream.getvalue()
    more = b"".join(struct.pack(">I", len(body)) + kind + body
                    + struct.pack(">I", zlib.crc32(kind + body)) for kind, body in chunks)
    path.write_bytes(data[:33] + more + data[33:])
    return open_artwork(path)


def lab(artwork: Artwork) -> np.ndarray:
    return artwork.colour.lab(np.array([180, 90, 40]) / 255)


def published(space: str, gamma: float | None = None) -> np.ndarray:
    """CIELAB of the same numbers by colour-science: Bradford, D50 as ICC has it."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it would draw, too
        import colour
    told = colour.RGB_COLOURSPACES[space]
    rgb = np.array([180, 90, 40]) / 255
    linear = rgb**gamma if gamma else told.cctf_decoding(rgb)
    x, y, z = D50_XYZ
    d50 = np.array([x, y]) / (x + y + z)
    xyz = colour.RGB_to_XYZ(linear, told, illuminant=d50, chromatic_adaptation_transform="Bradford")
    return np.asarray(colour.XYZ_to_Lab(xyz, d50))


def test_gamma_and_primaries_are_read(tmp_path: Path) -> None:
    plain = png(tmp_path / "a.png", (b"gAMA", GAMMA_1_8))
    assert np.abs(lab(plain) - published("sRGB", 1.8)).max() < 0.1
    assert plain.has_profile
    assert plain.profile_name == "gamma 1.8, as the file says"
    assert not [r for r in plain.remarks if "sRGB is assumed" in r]
    wide = png(tmp_path / "b.png", (b"gAMA", GAMMA_1_8), (b"cHRM", WIDE))
    assert np.abs(lab(wide) - lab(plain)).max() > 10


def test_the_gamma_that_writers_of_srgb_tell_is_srgb(tmp_path: Path) -> None:
    told = png(tmp_path / "a.png", (b"gAMA", struct.pack(">I", 45_455)))
    assert lab(told).tolist() == lab(png(tmp_path / "b.png", (b"sRGB", b"\0"))).tolist()
    assert not told.colour.assumed
    assert png(tmp_path / "c.png").colour.assumed


@pytest.mark.parametrize(("codes", "space"), [
    ((12, 13, 0, 1), "Display P3"), ((9, 1, 0, 1), "ITU-R BT.2020"), ((1, 13, 0, 1), "sRGB")])
def test_code_points_are_read_and_win_over_all_else(
    tmp_path: Path, codes: tuple[int, ...], space: str
) -> None:
    artwork = png(tmp_path / "a.png", (b"cICP", bytes(codes)), (b"gAMA", GAMMA_1_8), profile=SRGB)
    assert np.abs(lab(artwork) - published(space)).max() < 0.3


def test_a_profile_wins_over_gamma(tmp_path: Path) -> None:
    artwork = png(tmp_path / "a.png", (b"gAMA", GAMMA_1_8), profile=SRGB)
    assert np.abs(lab(artwork) - published("sRGB")).max() < 0.1


@pytest.mark.parametrize(("transfer", "name"), [(16, "PQ"), (18, "HLG")])
def test_high_dynamic_range_is_refused(tmp_path: Path, transfer: int, name: str) -> None:
    with pytest.raises(InputProblem, match=rf"high dynamic range \({name}\)"):
        png(tmp_path / "a.png", (b"cICP", bytes((9, transfer, 0, 1))))


@pytest.mark.parametrize("chunk", [
    (b"gAMA", b"\0\0\0\0"), (b"gAMA", b"\xff" * 4), (b"cICP", b""),
    (b"cICP", b"\xff\xff\0\1"), (b"cICP", b"\x0c\x0d\x09\x01")])
def test_numbers_that_make_no_sense_are_passed_over(
    tmp_path: Path, chunk: tuple[bytes, bytes]
) -> None:
    assert png(tmp_path / "a.png", chunk).colour.assumed


def test_primaries_that_make_no_sense_are_passed_over(tmp_path: Path) -> None:
    for body in (bytes(32), b"\xff" * 32, struct.pack(">8I", *([31_270, 32_900] * 4))):
        artwork = png(tmp_path / "a.png", (b"gAMA", GAMMA_1_8), (b"cHRM", body))
        assert artwork.colour.assumed


def avif(path: Path, **how: object) -> Path:
    ramp = np.arange(0, 256, 4, dtype=np.uint8)
    picture = Image.fromarray(np.tile(ramp[:, None, None], (1, 96, 3)))
    picture.save(path, "AVIF", quality=100, subsampling="4:4:4", **how)
    return path


def test_avif_is_read(tmp_path: Path) -> None:
    artwork = open_artwork(avif(tmp_path / "a.avif", icc_profile=SRGB))
    assert (artwork.width_px, artwork.height_px, artwork.form) == (96, 64, "AVIF")
    assert not artwork.colour.assumed
    assert any("keeps no checksums" in remark for remark in artwork.remarks)
    pixels = load_pixels(artwork)
    drawn = pixels.band(0, 64)[:, 40, 1].astype(int)
    assert np.abs(drawn - np.arange(0, 256, 4)).max() <= 2


def test_avif_tells_its_colours_and_its_turn(tmp_path: Path) -> None:
    path = avif(tmp_path / "a.avif", exif=_turned())
    assert open_artwork(path).width_px == 64
    data = path.read_bytes()
    at = data.index(b"colrnclx") + 8
    path.write_bytes(data[:at] + struct.pack(">HH", 12, 13) + data[at + 4:])
    assert open_artwork(path).profile_name == "nclx 12, 13"
    path.write_bytes(data[:at] + struct.pack(">HH", 9, 16) + data[at + 4:])
    with pytest.raises(InputProblem, match="high dynamic range"):
        open_artwork(path)


def _turned() -> bytes:
    exif = Image.Exif()
    exif[0x0112] = 6
    return exif.tobytes()


def test_avif_that_is_cut_short_is_refused(tmp_path: Path) -> None:
    path = avif(tmp_path / "a.avif")
    data = path.read_bytes()
    for part in (0.2, 0.5, 0.9, 0.99):
        path.write_bytes(data[:int(part * len(data))])
        with pytest.raises(InputProblem):
            load_pixels(open_artwork(path))


def test_avif_without_a_place_for_its_picture_is_refused(tmp_path: Path) -> None:
    path = avif(tmp_path / "a.avif")
    path.write_bytes(path.read_bytes().replace(b"iloc", b"\xff" * 4))
    with pytest.raises(InputProblem, match="a damaged picture"):
        load_pixels(open_artwork(path))


@pytest.mark.parametrize(("data", "found"), [
    (b"", "an empty file"), (b"%PDF-1.7\n", "a PDF, whose name should end in .pdf"),
    (b"\0\0\0\x18ftypheic", "HEIC, whose free decoders"), (b"v/1\x01" + bytes(80), "an OpenEXR"),
    (b"<svg xmlns='x'/>", "an SVG or other XML"), (b"PK\x03\x04" + bytes(80), "a ZIP archive"),
    (b"\0\0\0\x0cJXL \r\n", "a JPEG XL picture"), (b"II*\0" + bytes(80), "a TIFF whose channels"),
    (b"hello, world", "something other than a picture")])
def test_a_refusal_names_what_was_found(tmp_path: Path, data: bytes, found: str) -> None:
    path = tmp_path / "photo.jpg"
    path.write_bytes(data)
    with pytest.raises(InputProblem, match=f"found {found}"):
        open_artwork(path)
