"""What a picture file itself tells of damage: its checksums, its sizes, its decoder's warnings."""

from __future__ import annotations

import struct
from collections import OrderedDict
from threading import Lock
from typing import Any, BinaryIO

from preflight.art.artwork import Artwork
from preflight.art.damage.container_parts import bmp_damage, gif_damage, jpeg2000_damage
from preflight.art.damage.jpeg_stream import jpeg_damage
from preflight.art.damage.picture_damage import PictureDamage
from preflight.art.damage.png_chunks import png_damage
from preflight.art.damage.tiff_parts import tiff_damage
from preflight.art.damage.webp_parts import webp_damage
from preflight.art.embedded_colour import IMAGE_FAULTS
from preflight.art.opened_image import broken_picture
from preflight.art.tiff_page import directories, tags_at
from preflight.files.regular_files import bytes_of, open_regular

#: No JPEG that is read has more bytes.
MOST_JPEG_BYTES = 2**31 - 1
_READERS = {"PNG": png_damage, "BMP": bmp_damage, "GIF": gif_damage, "WEBP": webp_damage,
            "JPEG2000": jpeg2000_damage}
_MOST_KEPT = 64
_kept: OrderedDict[str, PictureDamage | None] = OrderedDict()
_lock = Lock()


def file_damage(artwork: Artwork) -> PictureDamage | None:
    """What is wrong with a picture's file; None where nothing tells.

    What a file of known content tells is looked up once.

    Raises
    ------
    InputProblem
        When the file cannot be read at all.
    """
    known = artwork.content
    with _lock:
        if known and known in _kept:
            return _kept[known]
    found = _looked_up(artwork)
    if known:
        with _lock:
            _kept[known] = found
            while len(_kept) > _MOST_KEPT:
                _kept.popitem(last=False)
    return found


def _looked_up(artwork: Artwork) -> PictureDamage | None:
    if artwork.form in {"JPEG", "MPO"}:
        return jpeg_damage(jpeg_bytes(artwork))
    reader = _READERS.get(artwork.form)
    if reader is not None:
        with open_regular(artwork.path, would_do="a picture") as stream:
            return reader(stream)
    return _of_tiff(artwork) if artwork.form == "TIFF" else None


def jpeg_bytes(artwork: Artwork) -> bytes:
    """All of a JPEG file."""
    return bytes_of(artwork.path, MOST_JPEG_BYTES, would_do="a picture of less than 2 GB")


def _of_tiff(artwork: Artwork) -> PictureDamage | None:
    try:
        tags = tags_at(artwork.path, directories(artwork.path)[artwork.directory])
    except (*IMAGE_FAULTS, struct.error) as fault:
        raise broken_picture(artwork.path, fault) from None
    with open_regular(artwork.path, would_do="a picture") as stream:
        return _checked(stream, tags)


def _checked(stream: BinaryIO, tags: Any) -> PictureDamage | None:
    try:
        return tiff_damage(stream, tags)
    except (*IMAGE_FAULTS, struct.error):
        return PictureDamage(says="its tags make no sense")
