"""BMP, GIF and JPEG 2000 files held against the sizes that they tell of themselves."""

from __future__ import annotations

from typing import BinaryIO

import numpy as np

from preflight.art.damage.lzw_lengths import lzw_length
from preflight.art.damage.picture_damage import PictureDamage, from_row

_END = "its end is missing"


def bmp_damage(stream: BinaryIO) -> PictureDamage | None:
    """What is wrong with a BMP: only its length can tell.

    Notes
    -----
    Source: the published layout of BITMAPFILEHEADER and BITMAPINFOHEADER.
    """
    size = stream.seek(0, 2)
    stream.seek(0)
    head = stream.read(54)
    if len(head) < 54:
        return PictureDamage(says=_END)
    told, at = int.from_bytes(head[2:6], "little"), int.from_bytes(head[10:14], "little")
    width, height = (int.from_bytes(head[k:k + 4], "little", signed=True) for k in (18, 22))
    bits, method = int.from_bytes(head[28:30], "little"), int.from_bytes(head[30:34], "little")
    row = (width * bits + 31) // 32 * 4
    if method in {0, 3} and row > 0:
        rows = (size - at) // row
        if rows < abs(height):
            top_down = height < 0
            missing = from_row(rows, abs(height), _END)
            return missing if top_down else PictureDamage(
                says=_END, share=missing.share, box=(0.0, 0.0, 1.0, missing.share or 0.0))
    return PictureDamage(says=_END) if told > size else None


def gif_damage(stream: BinaryIO) -> PictureDamage | None:
    """What is wrong with a GIF's first picture: its codes must come out at its size, and end.

    Notes
    -----
    Source: GIF 89a specification, clauses 18 to 27 and appendix F.
    """
    stream.seek(0)
    head = stream.read(13)
    if len(head) == 13 and head[10] & 0x80:
        stream.seek(3 * 2 ** ((head[10] & 7) + 1), 1)
    while kind := stream.read(1):
        if kind == b"!":
            stream.read(1)
            if _sub_blocks(stream) is None:
                return PictureDamage(says=_END)
        elif kind == b",":
            return _gif_picture(stream)
        else:
            break
    return PictureDamage(says="it holds no picture")


def _gif_picture(stream: BinaryIO) -> PictureDamage | None:
    told = stream.read(9)
    if len(told) < 9:
        return PictureDamage(says=_END)
    if told[8] & 0x80:
        stream.seek(3 * 2 ** ((told[8] & 7) + 1), 1)
    width, height = int.from_bytes(told[4:6], "little"), int.from_bytes(told[6:8], "little")
    bits = (stream.read(1) or b"\0")[0]
    codes = _sub_blocks(stream)
    if codes is None or not 2 <= bits <= 8:
        return PictureDamage(says=_END)
    length, sound = lzw_length(np.frombuffer(codes, np.uint8), bits, low_bit_first=True)
    interlaced = bool(told[8] & 0x40)
    if length != width * height or not sound:
        says = "its pixels do not unpack to the size it states"
        return (PictureDamage(says=says) if interlaced or not width
                else from_row(length // width, height, says))
    following = stream.read(1)
    return None if following in {b";", b"!", b","} else PictureDamage(says=_END, share=0.0)


def _sub_blocks(stream: BinaryIO) -> bytes | None:
    """Bytes of a chain of sub-blocks; None where it is cut off."""
    found = bytearray()
    while True:
        length = stream.read(1)
        if not length:
            return None
        if length == b"\0":
            return bytes(found)
        block = stream.read(length[0])
        if len(block) < length[0]:
            return None
        found += block


def jpeg2000_damage(stream: BinaryIO) -> PictureDamage | None:
    """What is wrong with a JPEG 2000: its tiles must lie within it, and its end mark after them.

    Notes
    -----
    Source: ITU-T T.800, annex A (SOC, SOT, EOC) and annex I (boxes).
    """
    size = stream.seek(0, 2)
    at: int | None = 0
    stream.seek(0)
    if stream.read(4) != _CODE_BEGINS:
        at = _code_box(stream, size)
    if at is None:
        return PictureDamage(says="it holds no picture")
    stream.seek(at + 2)
    while True:
        mark, length = stream.read(2), stream.read(2)
        if mark == _CODE_ENDS:
            return None
        if len(length) < 2 or mark[:1] != b"\xff":
            return PictureDamage(says=_END)
        here = stream.tell() - 4
        if mark == _TILE_BEGINS:
            stream.read(2)
            long = int.from_bytes(stream.read(4), "big")
            if long == 0:  # up to the end mark, which is the file's last
                stream.seek(size - 2)
                continue
            stream.seek(here + long)
        else:
            stream.seek(here + 2 + int.from_bytes(length, "big"))


_CODE_BEGINS, _TILE_BEGINS, _CODE_ENDS = b"\xff\x4f\xff\x51", b"\xff\x90", b"\xff\xd9"


def _code_box(stream: BinaryIO, size: int) -> int | None:
    """Where a JPEG 2000 file's code begins."""
    at = 0
    while at + 8 <= size:
        stream.seek(at)
        head = stream.read(16)
        length, kind = int.from_bytes(head[:4], "big"), head[4:8]
        long = length == 1
        length = int.from_bytes(head[8:16], "big") if long else length or size - at
        if kind == b"jp2c":
            return at + (16 if long else 8)
        if length < 8:
            return None
        at += length
    return None
