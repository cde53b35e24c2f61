"""WebP files: whether their parts fit each other, and all coded data is needed."""

from __future__ import annotations

import io
from typing import BinaryIO

from PIL import Image

from preflight.art.damage.picture_damage import PictureDamage

#: A sound picture cannot do without so many bytes at its end. Coders leave up to some 3 unused.
_NEEDED = 8
_MOST_BYTES = 2**31 - 1


def webp_damage(stream: BinaryIO) -> PictureDamage | None:
    """What is wrong with a WebP; None where nothing tells.

    Its coded data has no checksum, but after a wrong bit a decoder reads on in what is no longer
    code, and comes to its end too early, which it tells, or too late: then the picture opens just
    as well without its last bytes, which a sound one never does.

    Notes
    -----
    Source: RFC 9649, clause 2 (RIFF container); RFC 6386, clause 7 (boolean decoder).
    """
    size = stream.seek(0, 2)
    stream.seek(0)
    if size > _MOST_BYTES:
        return None
    data = stream.read()
    told = int.from_bytes(data[4:8], "little") + 8
    if told > size:
        return PictureDamage(says="its end is missing")
    at, coded = 12, (0, 0)
    while at + 8 <= told:
        length = int.from_bytes(data[at + 4:at + 8], "little")
        if data[at:at + 4] in {b"VP8 ", b"VP8L"}:
            coded = at, length
        at += 8 + length + length % 2
    if at not in {told, told + 1}:
        return PictureDamage(says="the lengths of its parts do not add up to its own")
    if coded[1] > 2 * _NEEDED and _opens(_without_end(data, *coded)):
        return PictureDamage(says="coded data is left over")
    return None


def _without_end(data: bytes, at: int, length: int) -> bytes:
    """The coded picture alone, its last bytes cut off."""
    kept = length - _NEEDED
    body = data[at:at + 4] + kept.to_bytes(4, "little") + data[at + 8:at + 8 + kept]
    body += b"\0" * (kept % 2)
    return b"RIFF" + (4 + len(body)).to_bytes(4, "little") + b"WEBP" + body


def _opens(data: bytes) -> bool:
    try:
        with Image.open(io.BytesIO(data), formats=["WEBP"]) as image:
            image.load()
    except (OSError, ValueError, SyntaxError, EOFError):
        return False
    return True
