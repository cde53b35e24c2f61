"""What picture files tell of damage themselves, each in its own way."""

from __future__ import annotations

import io
import struct
import zlib
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from PIL import Image

from preflight.art.artwork import open_artwork
from preflight.art.artwork_pixels import load_pixels
from preflight.art.damage.file_damage import file_damage
from preflight.art.damage.lzw_lengths import lzw_length, packbits_length
from preflight.art.damage.picture_damage import PictureDamage
from preflight.input_problem import InputProblem
from tests.hostile.hostile_pictures import png
from tests.small_art import small_photo

PHOTO = small_photo(320, 240)


def saved(form: str, **how: Any) -> bytes:
    stream = io.BytesIO()
    Image.fromarray(PHOTO).save(stream, form, **how)
    return stream.getvalue()


def damage_of(tmp_path: Path, data: bytes) -> PictureDamage | None:
    path = tmp_path / "picture"
    path.write_bytes(data)
    return file_damage(open_artwork(path, accept_damage=True))


def refusal_of(tmp_path: Path, data: bytes) -> str:
    path = tmp_path / "picture"
    path.write_bytes(data)
    with pytest.raises(InputProblem) as refused:
        load_pixels(open_artwork(path))
    return refused.value.sentence.removeprefix(f"{path}: ")


@pytest.mark.parametrize(("form", "how"), [
    ("PNG", {}), ("JPEG", {}), ("JPEG", {"progressive": True, "quality": 95}), ("TIFF", {}),
    ("TIFF", {"compression": "tiff_lzw"}), ("TIFF", {"compression": "packbits"}),
    ("TIFF", {"compression": "tiff_adobe_deflate"}), ("WEBP", {}), ("WEBP", {"lossless": True}),
    ("GIF", {}), ("BMP", {}), ("JPEG2000", {}), ("PPM", {})])
def test_sound_files_tell_nothing(tmp_path: Path, form: str, how: dict[str, Any]) -> None:
    assert damage_of(tmp_path, saved(form, **how)) is None


def test_a_png_with_fewer_rows_than_it_claims(tmp_path: Path) -> None:
    rows = b"".join(b"\0" + bytes(320 * 3) for _ in range(60))
    damage = damage_of(tmp_path, png(320, 240, zlib.compress(rows)))
    assert damage is not None
    assert damage.share == pytest.approx(0.75)
    assert damage.box == (0.0, 0.25, 1.0, 1.0)
    assert refusal_of(tmp_path, png(320, 240, zlib.compress(rows))) == (
        "found a damaged picture (it holds fewer rows than its size claims; 75 % of it, from 25 % "
        "of its height downwards); the picture as it was first saved, or accept_damage = true for "
        "this artwork, would do.")


def test_a_png_with_a_wrong_check_sum_or_without_palette(tmp_path: Path) -> None:
    data = bytearray(saved("PNG"))
    data[len(data) // 2] ^= 4
    assert "checksum of its IDAT part" in refusal_of(tmp_path, bytes(data))
    packed = zlib.compress(b"".join(b"\0" + bytes(320) for _ in range(240)))
    assert "its palette is missing" in refusal_of(tmp_path, png(320, 240, packed, colour=3))


def test_an_interlaced_png(tmp_path: Path) -> None:
    # The sizes of the seven passes of a 320 × 240 picture (PNG specification, clause 8.2).
    passes = ((40, 30), (40, 30), (80, 30), (80, 60), (160, 60), (160, 120), (320, 120))
    packed = zlib.compress(b"".join(
        (b"\0" + bytes(3 * wide)) * tall for wide, tall in passes))
    head = struct.pack(">IIBBBBB", 320, 240, 8, 2, 0, 0, 1)

    def whole(packed: bytes) -> bytes:
        data = png(320, 240, packed)
        chunk = b"IHDR" + head
        return data[:12] + chunk + struct.pack(">I", zlib.crc32(chunk)) + data[33:]

    assert damage_of(tmp_path, whole(packed)) is None
    short = zlib.compress(zlib.decompress(packed)[:-5000])
    assert "fewer rows" in refusal_of(tmp_path, whole(short))


def test_jpegs(tmp_path: Path) -> None:
    data = saved("JPEG", quality=90, restart_marker_rows=1)
    frame = data.index(b"\xff\xc0") + 5
    mark = data.index(b"\xff\xd3")
    for spoilt, says in (
            (data[:-2], "its end is missing"), (data[:len(data) // 2], "its end is missing"),
            (data[:len(data) // 2] + b"\xff\xd9", "coded data is missing"),
            (data[:frame] + struct.pack(">H", 480) + data[frame + 2:], "restart markers"),
            (data[:frame] + struct.pack(">H", 120) + data[frame + 2:], "coded data is left over"),
            (data[:mark + 1] + b"\xd6" + data[mark + 2:], "restart markers are out of order"),
            (data[:mark] + data[mark + 2:], "coded data is left over")):
        assert says in refusal_of(tmp_path, spoilt), says


def test_jpegs_in_cmyk(tmp_path: Path) -> None:
    stream = io.BytesIO()
    Image.fromarray(PHOTO).convert("CMYK").save(stream, "JPEG")
    assert damage_of(tmp_path, stream.getvalue()) is None
    assert "its end is missing" in refusal_of(tmp_path, stream.getvalue()[:-400])


def test_tiffs(tmp_path: Path) -> None:
    plain = saved("TIFF")
    (first,) = struct.unpack_from("<I", plain, 4)
    (count,) = struct.unpack_from("<H", plain, first)
    entries = {struct.unpack_from("<H", plain, first + 2 + 12 * n)[0]: first + 2 + 12 * n
               for n in range(count)}
    lengths = entries[279]
    kind, many, at = struct.unpack_from("<HII", plain, lengths + 2)
    assert kind in (3, 4)
    place = lengths + 8 if many == 1 else at
    short = bytearray(plain)
    code, size = ("<H", 2) if kind == 3 else ("<I", 4)
    short[place:place + size] = struct.pack(code, struct.unpack_from(code, plain, place)[0] // 2)
    assert "part of its pixels is missing" in refusal_of(tmp_path, bytes(short))
    for how in ("tiff_lzw", "packbits", "tiff_adobe_deflate"):
        data = bytearray(saved("TIFF", compression=how))
        data[3000:3060] = bytes(60)
        assert "damaged picture" in refusal_of(tmp_path, bytes(data)), how


@pytest.mark.parametrize("lossless", [False, True])
def test_webps_need_their_last_bytes(tmp_path: Path, lossless: bool) -> None:
    data = bytearray(saved("WEBP", lossless=lossless, quality=90))
    refused = 0
    for place in range(200, 1000, 80):
        spoilt = bytearray(data)
        spoilt[place] ^= 0x5A
        (tmp_path / "picture").write_bytes(bytes(spoilt))
        try:
            load_pixels(open_artwork(tmp_path / "picture"))
        except InputProblem:
            refused += 1
    assert refused >= (7 if lossless else 10)


def test_gif_and_bmp(tmp_path: Path) -> None:
    gif, bmp = saved("GIF"), saved("BMP")
    middle = len(gif) // 2
    assert "damaged picture" in refusal_of(
        tmp_path, gif[:middle] + bytes([gif[middle] ^ 0x55]) + gif[middle + 1:])
    damage = damage_of(tmp_path, bmp[:len(bmp) // 2])
    assert damage is not None
    assert damage.box[3] == pytest.approx(0.5, abs=0.01)  # its rows run upwards


def test_accepted_damage_is_read(tmp_path: Path) -> None:
    path = tmp_path / "picture"
    for data in (saved("JPEG", quality=90)[:9000], saved("PNG")[:20_000]):
        path.write_bytes(data)
        pixels = load_pixels(open_artwork(path, accept_damage=True))
        assert pixels.band(0, 240).shape == (240, 320, 3)
        assert np.abs(pixels.band(0, 8).astype(int) - PHOTO[:8]).mean() < 4


def test_a_reduced_jpeg_is_checked_too(tmp_path: Path) -> None:
    path = tmp_path / "picture"
    path.write_bytes(saved("JPEG", quality=90))
    assert load_pixels(open_artwork(path), shrink=16.0).reduction == 8
    path.write_bytes(saved("JPEG", quality=90)[:-300])
    with pytest.raises(InputProblem, match="its end is missing"):
        load_pixels(open_artwork(path), shrink=16.0)


def test_lengths_of_lzw_against_another_decoder(tmp_path: Path) -> None:
    # Strips that libtiff packed: its own reader is the judge of how long they are.
    for side in (8, 33, 320):
        picture = Image.fromarray(PHOTO[:, :side])
        path = tmp_path / "lzw.tif"
        picture.save(path, compression="tiff_lzw")
        with Image.open(path) as image:
            tags: Any = image.tag_v2  # type: ignore[attr-defined]
            offsets, counts = tags[273], tags[279]
        raw = path.read_bytes()
        lengths = [lzw_length(np.frombuffer(raw[o:o + c], np.uint8), 8, low_bit_first=False)
                   for o, c in zip(offsets, counts, strict=True)]
        assert all(sound for _, sound in lengths)
        assert sum(length for length, _ in lengths) == 240 * side * 3
        assert np.array_equal(np.asarray(cv2.imread(str(path)))[:, :, ::-1], PHOTO[:, :side])


def test_lengths_of_packbits() -> None:
    # The worked example of TIFF 6.0, section 9: 15 bytes of code for 24 bytes.
    code = bytes.fromhex("FE AA 02 80 00 2A FD AA 03 80 00 2A 22 F7 AA")
    assert packbits_length(np.frombuffer(code, np.uint8)) == 24
