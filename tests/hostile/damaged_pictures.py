"""Sound pictures in every format, with bits flipped or their ends cut off, the same ones each time.

``python -m tests.hostile.damaged_pictures COUNT [SHEET.png]`` damages so many files of each format
and prints what became of them; with a second word it draws a contact sheet of those that were
read or looked at, with what was said of each.
"""

from __future__ import annotations

import io
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from preflight.art.artwork import open_artwork
from preflight.art.artwork_pixels import load_pixels
from preflight.input_problem import InputProblem
from preflight.photo_quality.damage_facts import seen_damage
from tests.hostile.hostile_pictures import deep_tiff

ROOT = Path(__file__).parents[2]
_SIDE = (480, 320)
FORMATS: tuple[tuple[str, str, dict[str, Any]], ...] = (
    ("JPEG", "JPEG", {"quality": 90}),
    ("JPEG, colours whole", "JPEG", {"quality": 92, "subsampling": 0}),
    ("JPEG, progressive", "JPEG", {"quality": 88, "progressive": True}),
    ("JPEG, restarts", "JPEG", {"quality": 90, "restart_marker_rows": 1}),
    ("PNG", "PNG", {}), ("PNG, palette", "PNG", {"palette": True}), ("PNG, 16 bit", "deep", {}),
    ("TIFF, plain", "TIFF", {}), ("TIFF, LZW", "TIFF", {"compression": "tiff_lzw"}),
    ("TIFF, deflate", "TIFF", {"compression": "tiff_adobe_deflate"}),
    ("TIFF, PackBits", "TIFF", {"compression": "packbits"}),
    ("TIFF, floating point", "float32", {"planes": False}),
    ("TIFF, 16-bit planes", "uint16", {"planes": True}),
    ("WebP", "WEBP", {"quality": 88}), ("WebP, lossless", "WEBP", {"lossless": True}),
    ("JPEG 2000", "JPEG2000", {"quality_layers": [12], "irreversible": True}),
    ("GIF", "GIF", {}), ("BMP", "BMP", {}), ("PPM", "PPM", {}), ("AVIF", "AVIF", {"quality": 88}))


@dataclass(frozen=True, slots=True)
class Came:
    """What became of one damaged file.

    Attributes
    ----------
    kind : str
        ``refused``, ``flagged`` (its pixels look damaged), ``same`` (it decodes as it was),
        ``missed`` (it decodes to something else and nobody says so).
    said : str
        What was said of it.
    changed : float
        Share of its pixels that differ by more than 8 of 255 levels.
    pixels : NDArray or None
        What was decoded.
    """

    kind: str
    said: str
    changed: float
    pixels: NDArray[Any] | None


def photograph() -> Image.Image:
    """A piece of the demo's own landscape, made smaller."""
    with Image.open(ROOT / "demo_art" / "estuary_and_heath.jpg") as image:
        piece = image.crop((2400, 300, 2400 + 4 * _SIDE[0], 300 + 4 * _SIDE[1]))
        return piece.convert("RGB").resize(_SIDE, Image.Resampling.LANCZOS)


def whole(form: str, how: dict[str, Any]) -> bytes:
    """The sound file."""
    picture = photograph()
    if form == "deep":
        wide = np.asarray(picture).astype(np.uint16) * 257
        return cv2.imencode(".png", np.ascontiguousarray(wide[:, :, ::-1]))[1].tobytes()
    if "planes" in how:
        return deep_tiff(form, np.asarray(picture), **how)
    stream = io.BytesIO()
    if how.get("palette"):
        picture.quantize(200).save(stream, form)
    else:
        picture.save(stream, form, **how)
    return stream.getvalue()


def damaged(data: bytes, count: int, seed: int) -> Iterator[bytes]:
    """The file with 1 to 50 bits flipped anywhere, or (one in five) cut off."""
    for number in range(count):
        random = np.random.default_rng((seed, number))
        if number % 5 == 4:
            yield data[:int(random.integers(1, len(data)))]
            continue
        spoilt = bytearray(data)
        for bit in random.integers(0, 8 * len(data), int(random.integers(1, 51))).tolist():
            spoilt[bit // 8] ^= 1 << bit % 8
        yield bytes(spoilt)


def decoded(path: Path) -> tuple[NDArray[Any], str]:
    """A file's pixels, and what its pixels say of damage."""
    source = load_pixels(open_artwork(path))
    seen = "; ".join(damage.says for damage in seen_damage(source))
    return source.band(0, source.rows), seen


def came_of(path: Path, original: NDArray[Any]) -> Came:
    """Read a damaged file and tell what became of it."""
    try:
        pixels, seen = decoded(path)
    except InputProblem as problem:
        return Came("refused", problem.sentence.removeprefix(f"{path}: "), 0.0, None)
    if pixels.shape == original.shape and (pixels == original).all():
        return Came("same", seen, 0.0, pixels)
    changed = 1.0
    if pixels.shape == original.shape:
        top = 257.0 if pixels.dtype == np.uint16 else 1.0
        apart = np.abs(pixels.astype(np.float32) - original) / top
        changed = float((apart.max(axis=2) > 8).mean())
    return Came("flagged" if seen else "missed", seen, changed, pixels)


def all_came(count: int, folder: Path) -> Iterator[tuple[str, Came]]:
    """What became of so many damaged files of each format, by the format's name."""
    for seed, (name, form, how) in enumerate(FORMATS):
        data = whole(form, how)
        path = folder / "picture"
        path.write_bytes(data)
        original, seen = decoded(path)
        assert not seen, (name, seen)
        for spoilt in damaged(data, count, seed):
            path.write_bytes(spoilt)
            yield name, came_of(path, original)


def _sheet(came: list[tuple[str, Came]], target: Path) -> None:
    shown = [(name, one) for name, one in came if one.pixels is not None
             and one.kind in ("flagged", "missed") and one.changed > 0.001]
    shown = sorted(shown, key=lambda pair: (pair[1].kind, pair[0], -pair[1].changed))
    picked = [pair for at, pair in enumerate(shown) if at % max(1, len(shown) // 40) == 0][:40]
    wide, tall = 300, 260
    sheet = Image.new("RGB", (5 * wide, -(-len(picked) // 5) * tall), "white")
    draw = ImageDraw.Draw(sheet)
    for place, (name, one) in enumerate(picked):
        x, y = place % 5 * wide, place // 5 * tall
        assert one.pixels is not None
        eight = (one.pixels >> 8).astype(np.uint8) if one.pixels.dtype == np.uint16 else one.pixels
        picture = Image.fromarray(eight[:, :, :3] if eight.shape[2] > 1 else eight[:, :, 0])
        sheet.paste(picture.convert("RGB").resize((wide - 12, 192)), (x + 6, y + 4))
        draw.text((x + 6, y + 198), f"{name}: {one.kind}, {100 * one.changed:.1f} % changed",
                  fill="black")
        draw.text((x + 6, y + 214), one.said[:50], fill="black")
    sheet.save(target)


def main(count: int, target: Path | None) -> None:
    """Print a table; draw a contact sheet."""
    with tempfile.TemporaryDirectory() as folder:
        came = list(all_came(count, Path(folder)))
    print("format  refused flagged same missed  of missed over 8 levels on 1 %, on 10 %")  # noqa: T201
    for name, *_ in FORMATS:
        mine = [one for which, one in came if which == name]
        kinds = Counter(one.kind for one in mine)
        lost = [one.changed for one in mine if one.kind == "missed"]
        print(f"{name:22}", *(kinds[k] for k in ("refused", "flagged", "same", "missed")),  # noqa: T201
              sum(c > 0.01 for c in lost), sum(c > 0.1 for c in lost))
    if target is not None:
        _sheet(came, target)


if __name__ == "__main__":
    main(int(sys.argv[1]), Path(sys.argv[2]) if len(sys.argv) > 2 else None)
