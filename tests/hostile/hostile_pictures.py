"""Pictures that lie, burst, break off or are none: made by code, each with what must come of it.

Beside ``refused`` a picture may be ``read`` or, where libraries of different age differ,
``either``; never anything else.
"""

from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Iterator
from typing import Any, NamedTuple

import cv2
import numpy as np
import tifffile
from numpy.typing import NDArray
from PIL import Image, ImageCms

from tests.small_art import small_photo

FORMATS: tuple[tuple[str, str, dict[str, Any]], ...] = (
    ("png", "PNG", {}), ("jpg", "JPEG", {"quality": 90}),
    ("progressive.jpg", "JPEG", {"progressive": True}), ("tif", "TIFF", {}),
    ("lzw.tif", "TIFF", {"compression": "tiff_lzw"}),
    ("deflate.tif", "TIFF", {"compression": "tiff_adobe_deflate"}), ("webp", "WEBP", {}),
    ("lossless.webp", "WEBP", {"lossless": True}), ("bmp", "BMP", {}), ("jp2", "JPEG2000", {}),
    ("gif", "GIF", {}), ("ppm", "PPM", {}), ("avif", "AVIF", {}))


class Case(NamedTuple):
    """A file and what must come of it."""

    name: str
    data: bytes
    comes: str


def picture(form: str = "PNG", side: tuple[int, int] = (96, 64), **how: Any) -> bytes:
    """A small photograph in a format."""
    stream = io.BytesIO()
    Image.fromarray(small_photo(*side)).save(stream, form, **how)
    return stream.getvalue()


def deep_png() -> bytes:
    """A PNG of 16 bits a channel."""
    return cv2.imencode(".png", small_photo(96, 64).astype(np.uint16) * 257)[1].tobytes()


def deep_tiff(kind: str, photo: NDArray[np.uint8], *, planes: bool) -> bytes:
    """A TIFF with a profile, deflated: pixel by pixel, or each channel by itself."""
    pixels = photo.astype(np.uint16) * 257 if kind == "uint16" else (photo / 255).astype(kind)
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    stream = io.BytesIO()
    tifffile.imwrite(
        stream, np.ascontiguousarray(np.moveaxis(pixels, -1, 0)) if planes else pixels,
        photometric="rgb", planarconfig="separate" if planes else "contig", rowsperstrip=16,
        compression="zlib", predictor=kind == "uint16",
        extratags=[(34675, 7, len(profile), profile, True)])
    return stream.getvalue()


DEEP_TIFFS = {"floats.tif": ("float32", False), "planes.tif": ("uint16", True),
              "float-planes.tif": ("float32", True)}


def all_cases() -> Iterator[Case]:
    """The whole corpus."""
    for make in (_cut_short, _sizes_that_lie, _bursting, _profiles, _exif, _many_pages, _strangers,
                 _odd_pixels):
        yield from make()


def _cut_short() -> Iterator[Case]:
    whole = [*((name, picture(form, **how)) for name, form, how in FORMATS),
             *((name, deep_tiff(kind, small_photo(96, 64), planes=planes))
               for name, (kind, planes) in DEEP_TIFFS.items())]
    for name, data in [*whole, ("deep.png", deep_png())]:
        for percent in (1, 10, 50, 90):
            yield Case(f"cut-{percent}-{name}", data[:len(data) * percent // 100],
                       "either" if "progressive" in name else "refused")
        yield Case(f"whole-{name}", data, "read")
        yield Case(f"with-a-tail-{name}", data + b"\0tail" * 99, "read")


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def png(width: int, height: int, packed: bytes, *, depth: int = 8, colour: int = 2,
        more: bytes = b"") -> bytes:
    """A PNG from its parts."""
    head = struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0)
    return (b"\x89PNG\r\n\x1a\n" + _chunk(b"IHDR", head) + more + _chunk(b"IDAT", packed)
            + _chunk(b"IEND", b""))


def _noughts(count: int) -> bytes:
    packer, parts = zlib.compressobj(1), []
    for _ in range(count // 1_000_000 + 1):
        parts.append(packer.compress(bytes(1_000_000)))
    return b"".join([*parts, packer.flush()])


def _sizes_that_lie() -> Iterator[Case]:
    little = zlib.compress(bytes(1000))
    for width, height in ((2**31 - 1, 2**31 - 1), (2**31 - 1, 1), (1, 2**31 - 1), (0, 0),
                          (24_000, 24_000), (70_000, 8), (4000, 4000), (2**32 - 1, 9)):
        for depth, colour in ((8, 2), (16, 2), (8, 0), (16, 0), (1, 0), (8, 6)):
            yield Case(f"png-of-{width}-by-{height}-{depth}-{colour}.png",
                       png(width, height, little, depth=depth, colour=colour), "refused")
    jpeg = picture("JPEG")
    frame = jpeg.index(b"\xff\xc0") + 5
    for height, width in ((65535, 65535), (65535, 9000), (0, 0), (1, 1), (30_000, 4000)):
        yield Case(f"jpeg-of-{width}-by-{height}.jpg",
                   jpeg[:frame] + struct.pack(">HH", height, width) + jpeg[frame + 4:], "either"
                   if height == 30_000 else "refused")
    bmp = picture("BMP")
    for width, height in ((2**31 - 1, 2**31 - 1), (-96, 64), (96, -2**31), (30_000, 12_000)):
        yield Case(f"bmp-of-{width}-by-{height}.bmp",
                   bmp[:18] + struct.pack("<ii", width, height) + bmp[26:], "refused")
    gif = picture("GIF")
    yield Case("gif-of-65535.gif", gif[:6] + b"\xff\xff\xff\xff" + gif[10:], "refused")
    webp = picture("WEBP", lossless=True)
    yield Case("webp-of-16383.webp", webp[:21] + b"\xff\xff\xff\x0f" + webp[25:], "refused")
    ppm = picture("PPM")
    yield Case("ppm-of-many.ppm", ppm.replace(b"96 64", b"99999999999 99999999999"), "refused")
    yield Case("ppm-of-less.ppm", ppm.replace(b"96 64", b"-96 64"), "refused")
    wavelets = picture("JPEG2000")
    place, box = wavelets.index(b"\xff\x51") + 6, wavelets.index(b"ihdr") + 4
    for width, height in ((20_000, 20_000), (2**32 - 1, 2**32 - 1), (9000, 9000)):
        lied = bytearray(wavelets)
        struct.pack_into(">II", lied, place, width, height)
        struct.pack_into(">II", lied, box, height, width)
        yield Case(f"jp2-of-{width}.jp2", bytes(lied), "either" if width == 9000 else "refused")
    yield from _tiffs_that_lie()


def _tiffs_that_lie() -> Iterator[Case]:
    data = picture("TIFF")
    (first,) = struct.unpack_from("<I", data, 4)
    (count,) = struct.unpack_from("<H", data, first)
    for place in range(count):
        entry = first + 2 + 12 * place
        (tag,) = struct.unpack_from("<H", data, entry)
        for kind, value in (("most", b"\xff\xff\xff\xff"), ("none", b"\0\0\0\0"),
                            ("half", b"\xff\xff\xff\x7f")):
            yield Case(f"tiff-tag-{tag}-{kind}.tif",
                       data[:entry + 8] + value + data[entry + 12:], "either")
            yield Case(f"tiff-count-{tag}-{kind}.tif",
                       data[:entry + 4] + value + data[entry + 8:], "either")
    loop = data[:first + 2 + 12 * count] + struct.pack("<I", first) + data[first + 6 + 12 * count:]
    yield Case("tiff-in-a-circle.tif", loop, "either")


def _bursting() -> Iterator[Case]:
    for name, width, height, depth, colour, comes in (
            ("grey", 20_000, 20_000, 8, 0, "read"), ("rgb", 11_000, 11_000, 8, 2, "read"),
            ("deep", 7_000, 7_000, 16, 2, "read"), ("rgba", 12_000, 12_000, 8, 6, "refused"),
            ("bits", 24_000, 24_000, 1, 0, "refused")):
        bits = depth * {0: 1, 2: 3, 6: 4}[colour]
        row = (width * bits + 7) // 8 + 1
        yield Case(f"burst-{name}.png",
                   png(width, height, _noughts(row * height), depth=depth, colour=colour), comes)
    flat = Image.new("RGB", (16_383, 8000), "white")
    for name, form, how in (("webp", "WEBP", {"lossless": True, "method": 0}),
                            ("jpg", "JPEG", {"quality": 10})):
        stream = io.BytesIO()
        flat.save(stream, form, **how)
        yield Case(f"burst.{name}", stream.getvalue(), "refused" if name == "webp" else "read")
    text = zlib.compress(bytes(50_000_000), 9)
    small = zlib.compress(bytes(64 * 289))
    for kind, body in ((b"zTXt", b"a\0\0" + text), (b"iTXt", b"a\0\1\0\0\0" + text),
                       (b"iCCP", b"a\0\0" + text)):
        yield Case(f"burst-{kind.decode()}.png", png(96, 64, small, more=_chunk(kind, body)),
                   "either")
    yield Case("burst-many-texts.png", png(96, 64, small, more=_chunk(
        b"zTXt", b"a\0\0" + zlib.compress(bytes(900_000), 9)) * 400), "either")


def _profiles() -> Iterator[Case]:
    sound = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    for name, profile in (
            ("empty", b"\0"), ("junk", bytes(range(256)) * 40), ("cut", sound[:200]),
            ("half", sound[:len(sound) // 2]), ("long", sound + bytes(3_000_000)),
            ("many-tags", sound[:128] + b"\xff\xff\xff\xff" + sound[132:]),
            ("far-tags", sound[:136] + b"\xff\xff\xff\xf0" * 60 + sound[376:]),
            ("cmyk", sound[:16] + b"CMYK" + sound[20:]), ("lab", sound[:16] + b"Lab " + sound[20:]),
            ("link", sound[:12] + b"link" + sound[16:]),
            ("named", sound[:12] + b"nmcl" + sound[16:]),
            ("size", b"\xff\xff\xff\xff" + sound[4:]), ("noughts", sound[:128] + bytes(4000))):
        for form in ("PNG", "JPEG", "TIFF", "WEBP"):
            yield Case(f"profile-{name}.{form.lower()}", picture(form, icc_profile=profile),
                       "either" if form == "PNG" else "read")


def _exif() -> Iterator[Case]:
    for value in (0, 3, 8, 9, 255, 65535):
        exif = Image.Exif()
        exif[0x0112] = value
        yield Case(f"exif-turn-{value}.jpg", picture("JPEG", exif=exif.tobytes()), "read")
    tiff = b"Exif\0\0II*\0\x08\0\0\0\1\0"
    for name, raw in (("junk", b"Exif\0\0" + bytes(range(256)) * 20), ("cut", b"Exif\0\0II*\0"),
                      ("circle", tiff + b"\x69\x87\4\0\1\0\0\0\x08\0\0\0\x08\0\0\0"),
                      ("text", tiff + b"\x12\1\2\0\xff\xff\xff\xffAAAA\0\0\0\0")):
        yield Case(f"exif-{name}.jpg", picture("JPEG", exif=raw), "either")
        yield Case(f"exif-{name}.png", picture("PNG", exif=raw), "either")


def _many_pages() -> Iterator[Case]:
    pages = [Image.fromarray(small_photo(96, 64) // (n + 1)) for n in range(3)]
    for form in ("PNG", "TIFF", "WEBP", "GIF"):
        stream = io.BytesIO()
        pages[0].save(stream, form, save_all=True, append_images=pages[1:])
        yield Case(f"pages.{form.lower()}", stream.getvalue(), "refused")
    data = picture("TIFF")
    (first,) = struct.unpack_from("<I", data, 4)
    (count,) = struct.unpack_from("<H", data, first)
    page, grown = data[first:first + 2 + 12 * count], bytearray(data)
    struct.pack_into("<I", grown, first + 2 + 12 * count, len(grown))
    for _ in range(20_000):
        grown += page + struct.pack("<I", len(grown) + len(page) + 4)
    yield Case("pages-20000.tif", bytes(grown), "refused")
    gif = picture("GIF", side=(8, 8))
    frame = gif[gif.rindex(b",", 0, len(gif) - 1):-1]
    yield Case("pages-20000.gif", gif[:-1] + frame * 20_000 + b";", "either")


def _strangers() -> Iterator[Case]:
    for name, data in (
            ("nothing.png", b""), ("one-byte.jpg", b"\xff"), ("page.png", b"<html><script>"),
            ("drawing.png", b"<svg xmlns='http://www.w3.org/2000/svg'/>"),
            ("program.jpg", b"\x7fELF" + bytes(500)), ("packed.png", b"PK\3\4" + bytes(500)),
            ("post.png", b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 99 99\n(/etc) run\n"),
            ("print.jpg", b"%PDF-1.7\n"), ("lines.png", b"P1\n9 9\n" + b"1 " * 81),
            ("icon.png", b"\0\0\1\0\1\0\0\0\0\0\1\0\x20\0" + bytes(400)),
            ("floats.tif", _floats()), ("wide.ppm", b"P6 96 64 99999\n" + bytes(99999))):
        yield Case(f"stranger-{name}", data, "either" if name == "lines.png" else "refused")


def _floats() -> bytes:
    stream = io.BytesIO()
    Image.fromarray(np.full((64, 96), np.nan, np.float32)).save(stream, "TIFF")
    return stream.getvalue()


def _odd_pixels() -> Iterator[Case]:
    for side in ((1, 1), (1, 5000), (5000, 1), (7, 8)):
        yield Case(f"pixels-{side[0]}-{side[1]}.png", picture(side=side), "refused")
    for mode in ("1", "P", "LA", "RGBA", "CMYK", "I", "F", "HSV", "LAB", "YCbCr"):
        stream = io.BytesIO()
        form = "PNG" if mode in ("1", "P", "LA", "RGBA") else "TIFF"
        if mode != "HSV":
            Image.new(mode, (96, 64)).save(stream, form)
            yield Case(f"mode-{mode}.{form.lower()}", stream.getvalue(),
                       "refused" if mode in ("I", "F") else "read")
