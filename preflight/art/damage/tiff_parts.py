"""TIFF files: whether each strip or tile is there, and unpacks to as much as it must."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from typing import Any, BinaryIO

import numpy as np

from preflight.art.damage.lzw_lengths import lzw_length, packbits_length
from preflight.art.damage.picture_damage import PictureDamage

_WIDTH, _HEIGHT, _BITS, _COMPRESSION, _PHOTOMETRIC = 256, 257, 258, 259, 262
_STRIPS, _SAMPLES, _ROWS, _STRIP_BYTES, _PLANAR = 273, 277, 278, 279, 284
_TILE_WIDTH, _TILE_HEIGHT, _TILES, _TILE_BYTES = 322, 323, 324, 325
_PLAIN, _LZW, _DEFLATE, _OLD_DEFLATE, _PACKBITS = 1, 5, 8, 32946, 32773
_YCBCR = 6
_PIECE = 2**20
_WRONG_SIZE = "part of its pixels does not unpack to the size it states"


@dataclass(frozen=True, slots=True)
class _Part:
    """A strip or tile: where its bytes lie, how many they must unpack to, and its rows."""

    offset: int
    packed: int
    expected: int
    first_row: int
    end_row: int
    left: float
    right: float


def tiff_damage(stream: BinaryIO, tags: Any) -> PictureDamage | None:
    """What is wrong with a TIFF's pixels; None where all of them are there.

    Parameters
    ----------
    stream : BinaryIO
        The file.
    tags : mapping
        The page's tags by their numbers, as Pillow has them (``tag_v2``).

    Notes
    -----
    Deflated parts carry checksums; LZW and PackBits must come out at the right length; plain
    parts must be there. A changed byte in a plain part cannot be told.
    Source: TIFF 6.0, sections 8 to 10, 13 and 15; Adobe Photoshop TIFF technical notes (deflate).
    """
    parts = _parts(tags)
    if isinstance(parts, PictureDamage):
        return parts
    height, method = _one(tags, _HEIGHT, 0), _one(tags, _COMPRESSION, _PLAIN)
    size = stream.seek(0, 2)
    bad: list[_Part] = []
    says = ""
    for part in parts:
        fault = _fault(stream, part, method, size)
        if fault:
            bad.append(part)
            says = says or fault
    if not bad:
        return None
    rows = sum(part.end_row - part.first_row for part in bad)
    whole = sum(part.end_row - part.first_row for part in parts)
    return PictureDamage(
        says=says, share=rows / max(whole, 1),
        box=(min(part.left for part in bad), min(part.first_row for part in bad) / height,
             max(part.right for part in bad), max(part.end_row for part in bad) / height))


def _parts(tags: Any) -> list[_Part] | PictureDamage:
    width, height = _one(tags, _WIDTH, 0), _one(tags, _HEIGHT, 0)
    samples, planar = _one(tags, _SAMPLES, 1), _one(tags, _PLANAR, 1)
    bits = sum(_all(tags, _BITS) or [1])
    if planar == 2:
        bits = max(_all(tags, _BITS) or [1])
    elif len(_all(tags, _BITS)) == 1:
        bits *= samples
    tiled = _TILES in tags
    offsets, counts = ((_all(tags, _TILES), _all(tags, _TILE_BYTES)) if tiled
                       else (_all(tags, _STRIPS), _all(tags, _STRIP_BYTES)))
    wide = _one(tags, _TILE_WIDTH, width) if tiled else width
    tall = _one(tags, _TILE_HEIGHT, height) if tiled else min(_one(tags, _ROWS, height), height)
    if min(width, height, wide, tall) < 1:
        return PictureDamage(says="its size makes no sense")
    across, down = -(-width // wide), -(-height // tall)
    planes = samples if planar == 2 else 1
    wanted = across * down * planes
    what = "tiles" if tiled else "strips"
    if len(offsets) < wanted:
        return PictureDamage(says=f"it lists only {len(offsets)} of its {wanted} {what}")
    if counts and len(counts) < wanted:
        return PictureDamage(says=f"it gives the length of only {len(counts)} of its {wanted} "
                                  f"{what}")
    whole = _one(tags, _PHOTOMETRIC, 1) == _YCBCR  # fewer bytes where colours are subsampled
    parts = []
    for number, offset in enumerate(offsets[:wanted]):
        place = number % (across * down)
        row, column = place // across * tall, place % across * wide
        rows = tall if tiled else min(tall, height - row)
        expected = 0 if whole else (wide * bits + 7) // 8 * rows
        parts.append(_Part(offset, counts[number] if counts else -1, expected, row,
                           min(row + tall, height), column / width,
                           min(column + wide, width) / width))
    return parts


def _fault(stream: BinaryIO, part: _Part, method: int, size: int) -> str:
    """What is wrong with a part, in words; empty for nothing."""
    packed = part.packed if part.packed >= 0 else part.expected if method == _PLAIN else 0
    if part.offset + packed > size:
        return "part of its pixels lies beyond its end"
    if method == _PLAIN:
        return "part of its pixels is missing" if packed < part.expected else ""
    if part.packed < 0:
        return ""
    stream.seek(part.offset)
    if method in {_DEFLATE, _OLD_DEFLATE}:
        return _deflated_fault(stream, part)
    if method in {_LZW, _PACKBITS}:
        raw = np.frombuffer(stream.read(part.packed), np.uint8)
        if method == _PACKBITS:
            length = packbits_length(raw)
            return _WRONG_SIZE if length < part.expected or (
                length > part.expected and part.expected) else ""
        if raw[:2].tolist() == [0, 1]:  # a variant older than TIFF 6.0
            return ""
        length, sound = lzw_length(raw, 8, low_bit_first=False)
        if length < part.expected or (sound and length != part.expected and part.expected):
            return _WRONG_SIZE
        return "" if sound else "part of its pixels cannot be unpacked"
    return ""


def _deflated_fault(stream: BinaryIO, part: _Part) -> str:
    unpacker, left, count = zlib.decompressobj(), part.packed, 0
    try:
        while left and not unpacker.eof:
            piece = stream.read(min(left, _PIECE))
            left -= len(piece)
            while piece and not unpacker.eof:
                count += len(unpacker.decompress(piece, _PIECE * 4))
                piece = unpacker.unconsumed_tail
                if count > max(part.expected, 1) * 2 + _PIECE:
                    return "part of its pixels unpacks to more than its size"
    except zlib.error:
        return "a checksum of its pixels is wrong, or they cannot be unpacked"
    if count < part.expected:
        return "part of its pixels is missing"
    return "" if unpacker.eof else "the end of part of its pixels is missing"


def _all(tags: Any, tag: int) -> list[int]:
    value = tags.get(tag)
    if value is None:
        return []
    return list(value) if isinstance(value, tuple) else [int(value)]


def _one(tags: Any, tag: int, otherwise: int) -> int:
    return next(iter(_all(tags, tag)), otherwise)

