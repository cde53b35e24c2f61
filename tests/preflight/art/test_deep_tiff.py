"""TIFFs of floating point, of planes, turned ones of 16 bits: written by tifffile and by GDAL."""

from __future__ import annotations

import base64
import io
import itertools
import struct
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tifffile
from numpy.typing import NDArray
from PIL import Image, ImageCms

from preflight.art.artwork import Artwork, open_artwork
from preflight.art.artwork_pixels import load_pixels
from preflight.input_problem import InputProblem
from tests.preflight.art.test_source_colour import fixed, rgb_profile
from tests.preflight.art.test_source_colour import tag as curve

rasterio: Any = pytest.importorskip("rasterio")
pytestmark = pytest.mark.filterwarnings("ignore::Warning")

RANDOM = np.random.default_rng(11)
SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
#: Rows, columns: neither fills its tiles.
SIZE = (40, 56)
PROFILE, TURN = 34675, 274
Deep = NDArray[np.uint16]


def read(path: Path, **how: Any) -> tuple[Artwork, Deep]:
    art = open_artwork(path, **how)
    pixels = load_pixels(art)
    band: Any = pixels.band(0, pixels.rows)
    assert band.dtype == np.uint16
    return art, band


def numbers(kind: str, channels: int) -> NDArray[Any]:
    if kind == "uint16":
        return RANDOM.integers(0, 65536, (*SIZE, channels), dtype=np.uint16)
    return RANDOM.random((*SIZE, channels)).astype(kind)


def lut_profile() -> bytes:
    """An RGB profile that works by tables: red and green exchanged."""
    primaries = np.array([[0.4361, 0.2225, 0.0139], [0.3851, 0.7169, 0.0971],
                          [0.1431, 0.0606, 0.7141]])[[1, 0, 2]]
    nodes = np.stack(np.meshgrid([0, 1], [0, 1], [0, 1], indexing="ij"), -1).reshape(-1, 3)
    values = np.clip(nodes @ primaries / (1 + 32767 / 32768) * 65535, 0, 65535).round()
    ramp = struct.pack(">2H", 0, 65535) * 3
    lut = curve(b"mft2", bytes([3, 3, 2, 0]) + fixed(1, 0, 0, 0, 1, 0, 0, 0, 1)
                + struct.pack(">HH", 2, 2) + ramp + values.astype(">u2").tobytes() + ramp)
    return rgb_profile(curve(b"curv", struct.pack(">I", 0)), A2B0=lut, A2B1=lut,
                       wtpt=curve(b"XYZ ", fixed(0.9642, 1.0, 0.8249)))


def as_levels(pixels: NDArray[Any]) -> Deep:
    if pixels.dtype == np.uint16:
        return pixels
    return np.asarray(pixels.astype(np.float32) * 65535 + 0.5, np.uint16)


def tag(code: int, value: Any) -> tuple[int, int, int, Any, bool]:
    kind = 7 if isinstance(value, bytes) else 3
    return (code, kind, len(value) if isinstance(value, bytes) else 1, value, True)


def write(path: Path, pixels: NDArray[Any], *, planes: bool = False, turn: int = 1, **how: Any
          ) -> None:
    data = np.ascontiguousarray(np.moveaxis(pixels, -1, 0)) if planes else pixels
    alone = pixels.shape[2] == 1
    extra = {2: ["unassalpha"], 4: ["unassalpha"]}.get(pixels.shape[2])
    how = {"extrasamples": extra, "extratags": [tag(PROFILE, SRGB), tag(TURN, turn)], **how}
    tifffile.imwrite(path, data[0] if alone and planes else data[..., 0] if alone else data,
                     photometric="rgb" if pixels.shape[2] > 2 else "minisblack",
                     planarconfig=None if alone else "separate" if planes else "contig", **how)


@pytest.mark.parametrize("kind", ["uint16", "float16", "float32", "float64"])
@pytest.mark.parametrize("channels", [1, 2, 3, 4])
def test_every_layout_gives_its_pixels(tmp_path: Path, kind: str, channels: int) -> None:
    path, pixels = tmp_path / "a.tif", numbers(kind, channels)
    for order, planes, tile, packed, turn in itertools.product(
            "<>", (False, True), (None, (16, 32)), (None, "zlib"), (1, 6)):
        rows = {} if tile else {"rowsperstrip": 7}
        write(path, pixels, planes=planes, turn=turn, byteorder=order, tile=tile,
              compression=packed, **rows)
        art, read_back = read(path)
        assert np.array_equal(read_back, as_levels(pixels)), (order, planes, tile, packed, turn)
        assert (art.bit_depth, art.has_alpha, art.orientation) == (16, channels in {2, 4}, turn)
        assert (art.width_px, art.height_px) == (SIZE[::-1] if turn == 1 else SIZE)


@pytest.mark.parametrize("kind", ["uint16", "float32", "float64"])
@pytest.mark.parametrize("packed", ["lzw", "deflate", "packbits"])
def test_what_gdal_writes(tmp_path: Path, kind: str, packed: str) -> None:
    path = tmp_path / "a.tif"
    for channels, planes, tiled, differences, (end, big) in itertools.product(
            (1, 2, 3, 4, 5), ("pixel", "band"), (False, True), (1, 2, 3),
            (("LITTLE", "NO"), ("BIG", "NO"), ("LITTLE", "YES"))):
        if differences > 1 and packed == "packbits":
            continue
        if differences == 3 and (kind == "uint16" or (channels in {2, 5} and planes == "pixel")):
            continue
        pixels = numbers(kind, channels)
        gdal_writes(path, pixels, interleave=planes, tiled=tiled, compress=packed,
                    predictor=differences, endianness=end, bigtiff=big)
        colours = 3 if channels > 2 else 1
        assert np.array_equal(read(path)[1][:, :, :colours], as_levels(pixels)[:, :, :colours]), (
            channels, planes, tiled, differences, end)


def gdal_writes(path: Path, pixels: NDArray[Any], **how: Any) -> None:
    sides = {"blockxsize": 32, "blockysize": 16} if how.get("tiled") else {"blockysize": 7}
    rows, columns, channels = pixels.shape
    with rasterio.open(path, "w", driver="GTiff", width=columns, height=rows, count=channels,
                       dtype=pixels.dtype.name, alpha="unspecified",
                       photometric="rgb" if channels > 2 else "minisblack",
                       source_icc_profile=base64.b64encode(SRGB).decode(), **sides, **how) as file:
        file.write(np.moveaxis(pixels, -1, 0))


def test_linear_light_comes_out_as_srgb_has_it(tmp_path: Path) -> None:
    steps = np.linspace(0, 1, 40 * 56 * 3).astype(np.float32).reshape(40, 56, 3)
    linear = rgb_profile(curve(b"curv", struct.pack(">I", 0)))
    write(tmp_path / "a.tif", steps, extratags=[tag(PROFILE, linear)])
    art, levels = read(tmp_path / "a.tif")
    lab = art.colour.lab(levels[:, :, [0, 0, 0]] / 65535)
    grey = steps[:, :, 0].astype(float)
    wanted = np.where(grey > (6 / 29) ** 3, 116 * np.cbrt(grey) - 16, grey * (29 / 3) ** 3)
    assert np.abs(lab[:, :, 0] - wanted).max() < 0.02
    assert any("16 bits a channel" in remark for remark in art.remarks)


def test_a_profile_with_a_curve_is_kept(tmp_path: Path) -> None:
    write(tmp_path / "a.tif", numbers("float32", 3))
    art, _ = read(tmp_path / "a.tif")
    assert not art.linear
    assert art.profile_name == "sRGB built-in"


@pytest.mark.parametrize("turn", range(1, 9))
def test_sixteen_bits_are_turned_as_pillow_turns_eight(tmp_path: Path, turn: int) -> None:
    for channels in (1, 3):
        eight = RANDOM.integers(0, 256, (*SIZE, channels), dtype=np.uint8)
        write(tmp_path / "8.tif", eight, turn=turn)
        write(tmp_path / "16.tif", eight.astype(np.uint16) * 257, turn=turn)
        art, stored = read(tmp_path / "16.tif")
        with (tmp_path / "8.tif").open("rb") as file, Image.open(file) as image:
            upright = np.asarray(image).reshape(art.height_px, art.width_px, channels)
        v, u = np.mgrid[:art.height_px, :art.width_px] + 0.5
        column, row, _ = load_pixels(art).from_art @ [u.ravel(), v.ravel(), np.ones(u.size)]
        seen = stored[row.astype(int), column.astype(int)].reshape(upright.shape)
        assert np.array_equal(seen, upright.astype(np.uint16) * 257)


@pytest.mark.parametrize("kind", ["uint16", "float32"])
@pytest.mark.parametrize("planes", [False, True])
def test_premultiplied_alpha_is_taken_back(tmp_path: Path, kind: str, planes: bool) -> None:
    straight = RANDOM.random((*SIZE, 4))
    straight[:, :, 3] = straight[:, :, 3] * 0.75 + 0.25
    told = straight.copy()
    told[:, :, :3] *= told[:, :, 3:]
    stored = (told * 65535 + 0.5).astype(np.uint16) if kind == "uint16" else told.astype(kind)
    write(tmp_path / "a.tif", stored, planes=planes, extrasamples=["assocalpha"])
    _, levels = read(tmp_path / "a.tif")
    assert np.abs(levels / 65535 - straight).max() < 5 / 65535


def test_white_is_zero_is_turned_round(tmp_path: Path) -> None:
    for kind, channels in itertools.product(("uint16", "float32"), (1, 2)):
        pixels = numbers(kind, channels)
        tifffile.imwrite(tmp_path / "a.tif", pixels.squeeze(), photometric="miniswhite",
                         planarconfig=None if channels == 1 else "contig",
                         extrasamples=None if channels == 1 else ["unassalpha"],
                         extratags=[tag(PROFILE, SRGB), tag(TURN, 3)])
        _, levels = read(tmp_path / "a.tif")
        assert np.array_equal(levels[:, :, 0], 65535 - as_levels(pixels)[:, :, 0])
        assert np.array_equal(levels[:, :, 1:], as_levels(pixels)[:, :, 1:])


def test_a_table_profile_is_applied(tmp_path: Path) -> None:
    pixels = numbers("uint16", 3)
    by_tables = lut_profile()
    write(tmp_path / "deep.tif", pixels, planes=True, extratags=[tag(PROFILE, by_tables)])
    art = open_artwork(tmp_path / "deep.tif")
    assert (art.converts_colour, art.bit_depth) == (True, 8)
    loaded = load_pixels(art)
    eight = Image.fromarray(((pixels.astype(np.uint32) + 128) // 257).astype(np.uint8))
    eight.save(tmp_path / "eight.png", icc_profile=by_tables)
    wanted = load_pixels(open_artwork(tmp_path / "eight.png"))
    assert np.array_equal(loaded.band(0, 40), wanted.band(0, 40))


def refusal(path: Path, **how: Any) -> str:
    with pytest.raises(InputProblem) as caught:
        read(path, **how)
    return caught.value.sentence.removeprefix(f"{path}: ")


@pytest.mark.parametrize(("kind", "says"), [
    ("uint32", "found a TIFF of 32-bit whole numbers; a TIFF of 8 or 16 bits a channel would do."),
    ("int16", "found a TIFF of 16-bit signed whole numbers;"),
    ("complex64", "found a TIFF of 64-bit numbers of another kind;")])
def test_other_numbers_are_named(tmp_path: Path, kind: str, says: str) -> None:
    for channels in (1, 3):
        write(tmp_path / "a.tif", np.ones((*SIZE, channels), kind))
        assert refusal(tmp_path / "a.tif").startswith(says)


def test_floating_point_whose_meaning_nobody_tells(tmp_path: Path) -> None:
    path = tmp_path / "a.tif"
    for channels in (1, 3):
        write(path, numbers("float32", channels), extratags=[])
        assert refusal(path).startswith("found a TIFF of floating point without a colour profile")
        write(path, numbers("float32", channels), extratags=[tag(PROFILE, SRGB[:200])])
        assert refusal(path).startswith("found a TIFF of floating point whose colour profile")


def test_floating_point_beyond_black_and_white(tmp_path: Path) -> None:
    path, pixels = tmp_path / "a.tif", numbers("float32", 3)
    pixels[0, 0] = (1.5, -0.5, 0.25)  # a speck
    write(path, pixels)
    assert read(path)[1][0, 0].tolist() == [65535, 0, 16384]
    pixels[3:8] = 4.0
    write(path, pixels)
    assert refusal(path).startswith("found floating point from -0.5 to 4, beyond black or white "
                                    "on 13 % of the picture; numbers from 0 (black) to 1 (white)")
    pixels[9, 9, 1] = np.nan
    write(path, pixels)
    assert "not a number in places" in refusal(path)


@pytest.mark.parametrize("packed", ["zstd", "lzma", "lerc"])
def test_packings_are_named(tmp_path: Path, packed: str) -> None:
    try:
        gdal_writes(tmp_path / "a.tif", numbers("float32", 3), compress=packed)
    except rasterio.errors.RasterioError:
        pytest.skip("this GDAL does not write it")
    name = {"zstd": "Zstandard", "lzma": "LZMA", "lerc": "LERC"}[packed]
    assert refusal(tmp_path / "a.tif").startswith(
        f"found a TIFF of 32-bit floating point packed by {name};")


def test_a_bigtiff_with_the_high_byte_first_is_named(tmp_path: Path) -> None:
    gdal_writes(tmp_path / "a.tif", numbers("float32", 3), bigtiff="YES", endianness="BIG")
    assert refusal(tmp_path / "a.tif").startswith("found a BigTIFF that cannot be read;")


def test_planes_of_sixteen_bit_cmyk_are_refused(tmp_path: Path) -> None:
    tifffile.imwrite(tmp_path / "a.tif", np.ones((4, *SIZE), np.uint16), photometric="separated",
                     planarconfig="separate")
    assert "neither grey nor RGB" in refusal(tmp_path / "a.tif")


@pytest.mark.parametrize("planes", [False, True])
@pytest.mark.parametrize("packed", [None, "zlib"])
def test_damage_is_refused_or_left_black(tmp_path: Path, planes: bool, packed: str | None) -> None:
    path, pixels = tmp_path / "a.tif", numbers("float32", 3)
    write(path, pixels, planes=planes, compression=packed, rowsperstrip=8)
    with tifffile.TiffFile(path) as tiff:
        at = tiff.pages[0].dataoffsets[1]
    data = path.read_bytes()
    path.write_bytes(data[:at] + b"\xff" * 40 + data[at + 40:] if packed else data[:at + 9])
    assert refusal(path).startswith("found a damaged picture (")
    art, levels = read(path, accept_damage=True)
    assert art.accepts_damage
    if packed or not planes:  # else the other planes are behind the cut
        assert np.array_equal(levels[:8], as_levels(pixels)[:8])
    assert not levels[8:16].any()


def test_the_page_that_is_asked_for(tmp_path: Path) -> None:
    path = tmp_path / "a.tif"
    pages = [numbers("uint16", 3), numbers("float32", 1), RANDOM.integers(
        0, 256, (*SIZE, 3), dtype=np.uint8)]
    with tifffile.TiffWriter(path) as tiff:
        for page in pages:
            tiff.write(page.squeeze(), photometric="rgb" if page.shape[2] == 3 else "minisblack",
                       extratags=[tag(PROFILE, SRGB)])
    assert refusal(path).startswith("found 3 pages and no 'page' in the job; page = 1, up to 3,")
    assert refusal(path, page=4).startswith("found no page 4 among 3; a page from 1 to 3 would do.")
    for number, page in enumerate(pages, 1):
        art = open_artwork(path, page=number)
        assert f"Page {number} of 3 is read." in art.remarks
        loaded = load_pixels(art)
        band = loaded.band(0, 40)
        assert np.array_equal(band, page if band.dtype == np.uint8 else as_levels(page))


def test_small_copies_are_no_pages(tmp_path: Path) -> None:
    path, pixels = tmp_path / "a.tif", numbers("uint16", 3)
    with tifffile.TiffWriter(path) as tiff:
        tiff.write(pixels[::2, ::2], photometric="rgb", subfiletype=1)
        tiff.write(pixels, photometric="rgb", planarconfig="contig")
    art, levels = read(path)
    assert np.array_equal(levels, pixels)
    assert "Page 2 of 2 is read; the others are small copies." in art.remarks


def test_a_page_of_another_picture(tmp_path: Path) -> None:
    stream = io.BytesIO()
    Image.new("RGB", (20, 20)).save(stream, "PNG")
    (tmp_path / "a.tif").write_bytes(stream.getvalue())
    assert refusal(tmp_path / "a.tif", page=1).startswith("found page = 1 of a PNG;")
