"""What a TIFF says of its pages, and of the pixels of one.

Source: TIFF 6.0, sections 2 (directories), 8 (tags), 14 (differencing), 15 (tiles), 18 (associated
alpha) and 19 (sample formats); Adobe Photoshop TIFF technical notes 1 and 3 (deflate, floating
point differences); the layout of BigTIFF's directories from memory, held against files of others.
"""

from __future__ import annotations

import struct
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO, Literal

from PIL.TiffImagePlugin import ImageFileDirectory_v2

from preflight.files.regular_files import open_regular

#: BigTIFFs whose high byte comes first are left out: Pillow takes their tags for a TIFF's.
_HEADS = {b"II*\0": "<", b"MM\0*": ">", b"II+\0": "<"}
_MOST_PAGES, _MOST_ENTRIES = 10_000, 1_000_000
_SUBFILE, _WIDTH, _HEIGHT, _BITS, _COMPRESSION, _PHOTOMETRIC, _FILL_ORDER = (
    254, 256, 257, 258, 259, 262, 266)
_STRIPS, _ORIENTATION, _SAMPLES, _ROWS, _STRIP_BYTES, _PLANAR = 273, 274, 277, 278, 279, 284
_PREDICTOR, _TILE_WIDTH, _TILE_HEIGHT, _TILES, _TILE_BYTES = 317, 322, 323, 324, 325
_EXTRA, _FORMAT, _PROFILE, _LAYERS = 338, 339, 34675, 37724
_KINDS: dict[int, Literal["whole", "signed", "float", "other"]] = {1: "whole", 2: "signed",
                                                                  3: "float", 4: "whole"}


@dataclass(frozen=True, slots=True)
class Directory:
    """Where a page's tags lie, and whether it is a smaller copy of another page."""

    at: int
    is_copy: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TiffPage:
    """The pixels of a page, by its tags.

    Attributes
    ----------
    order : str
        ``<`` or ``>``: which byte of a number comes first.
    columns, rows : int
        Stored size.
    samples : int
        Channels of a pixel, alpha and others counted.
    bits : int
        Of each channel; 0 where they differ.
    kind : str
        What the numbers are: ``whole``, ``signed``, ``float`` or ``other``.
    photometric : int
        0 grey from white to black, 1 grey, 2 RGB; others as TIFF 6.0 numbers them.
    compression, predictor, fill_order, orientation : int
        By TIFF's own numbers.
    planar : bool
        Whether each channel is stored by itself.
    part_columns, part_rows : int
        Size of a strip or tile.
    tiled : bool
        Whether the parts are tiles, which are whole at the picture's edges too.
    offsets, lengths : tuple of int
        Where each part lies and how many bytes it has.
    alpha : str
        ``none``, ``straight`` or ``premultiplied``: the channel behind the colours.
    has_layers : bool
        Whether an editor keeps its layers beside the picture that they make.
    profile : bytes or None
        The embedded profile.
    """

    order: str
    columns: int
    rows: int
    samples: int
    bits: int
    kind: Literal["whole", "signed", "float", "other"]
    photometric: int
    compression: int
    predictor: int
    fill_order: int
    orientation: int
    planar: bool
    part_columns: int
    part_rows: int
    tiled: bool
    offsets: tuple[int, ...]
    lengths: tuple[int, ...]
    alpha: Literal["none", "straight", "premultiplied"]
    has_layers: bool
    profile: bytes | None

    @property
    def colours(self) -> int:
        """1 for grey, 3 for RGB, 4 for CMYK; 0 for what is none of these."""
        return {0: 1, 1: 1, 2: 3, 5: 4}.get(self.photometric, 0)

    @property
    def is_plain(self) -> bool:
        """Whether other readers give its 16 bits as they are: upright, pixel by pixel."""
        return (self.kind == "whole" and self.bits == 16 and not self.planar
                and self.orientation == 1 and self.alpha != "premultiplied"
                and self.samples == self.colours + (self.alpha != "none")
                and self.samples != 2)

    @property
    def is_deep(self) -> bool:
        """Whether it has numbers that only `preflight.art.deep_tiff` reads, or refuses, rightly."""
        if self.kind != "whole" or self.bits > 16:
            return True
        return self.bits == 16 and not self.is_plain and (
            self.colours in {1, 3} or self.planar)


def directories(path: Path) -> tuple[Directory, ...]:
    """A TIFF's pages, in their order; empty for another file.

    Raises
    ------
    ValueError, struct.error
        When they cannot be followed.
    """
    with open_regular(path, would_do="a picture") as stream:
        head = stream.read(16)
        order = _HEADS.get(head[:4])
        if order is None:
            return ()
        big = b"+" in head[:4]
        count_form, entry_bytes, next_form = ("Q", 20, "Q") if big else ("H", 12, "I")
        (at,) = struct.unpack_from(order + next_form, head, 8 if big else 4)
        pages: dict[int, Directory] = {}
        entries = 0
        while at and at not in pages:
            stream.seek(at)
            (count,) = _read(stream, order + count_form)
            entries += count
            if len(pages) >= _MOST_PAGES or entries > _MOST_ENTRIES:
                raise ValueError(f"more than {_MOST_PAGES} pages or {_MOST_ENTRIES} tags")
            table = stream.read(count * entry_bytes)
            if len(table) < count * entry_bytes:
                raise ValueError("a page's tags lie beyond its end")
            pages[at] = Directory(at, bool(_subfile(table, order, entry_bytes) & 1))
            (at,) = _read(stream, order + next_form)
        return tuple(pages.values())


def byte_order(path: Path) -> str:
    """``<`` or ``>``: which byte of a TIFF's numbers comes first."""
    with open_regular(path, would_do="a picture") as stream:
        return _HEADS.get(stream.read(4), "<")


def _subfile(table: bytes, order: str, entry_bytes: int) -> int:
    for place in range(0, len(table), entry_bytes):
        tag, _ = struct.unpack_from(order + "HH", table, place)
        if tag == _SUBFILE:
            return int(struct.unpack_from(order + "I", table, place + entry_bytes // 20 * 4 + 8)[0])
    return 0


def _read(stream: BinaryIO, form: str) -> tuple[int, ...]:
    return struct.unpack(form, stream.read(struct.calcsize(form)))


def tags_at(path: Path, directory: Directory) -> Any:
    """A page's tags by their numbers, as Pillow reads them."""
    with open_regular(path, would_do="a picture") as stream, warnings.catch_warnings():
        warnings.simplefilter("ignore")  # tags that make no sense are left out
        head = stream.read(16)
        tags = ImageFileDirectory_v2(head if b"+" in head[:4] else head[:8])
        stream.seek(directory.at)
        tags.load(stream)
        # Values are read when they are first asked for: here, while warnings are heard by nobody.
        return {int(tag): tags.get(tag) for tag in tags}


def page_of(tags: Any, order: str) -> TiffPage:
    """A page's facts.

    Raises
    ------
    ValueError, TypeError
        When its tags make no sense.
    """
    samples, bits = _one(tags, _SAMPLES, 1), _all(tags, _BITS) or [1]
    formats = set(_all(tags, _FORMAT) or [1])
    tiled = _TILES in tags
    width, height = _one(tags, _WIDTH, 0), _one(tags, _HEIGHT, 0)
    tall = _one(tags, _TILE_HEIGHT, height) if tiled else min(_one(tags, _ROWS, height), height)
    orientation = _one(tags, _ORIENTATION, 1)
    photometric = _one(tags, _PHOTOMETRIC, 1)
    profile = tags.get(_PROFILE)
    return TiffPage(
        order=order, columns=width, rows=height, samples=samples,
        bits=bits[0] if len(set(bits)) == 1 else 0,
        kind=_KINDS.get(formats.pop(), "other") if len(formats) == 1 else "other",
        photometric=photometric, compression=_one(tags, _COMPRESSION, 1),
        predictor=_one(tags, _PREDICTOR, 1), fill_order=_one(tags, _FILL_ORDER, 1),
        orientation=orientation if 1 <= orientation <= 8 else 1,
        planar=samples > 1 and _one(tags, _PLANAR, 1) == 2,
        part_columns=_one(tags, _TILE_WIDTH, width) if tiled else width, part_rows=tall,
        tiled=tiled, offsets=tuple(_all(tags, _TILES if tiled else _STRIPS)),
        lengths=tuple(_all(tags, _TILE_BYTES if tiled else _STRIP_BYTES)),
        alpha=_alpha(samples - {0: 1, 1: 1, 2: 3}.get(photometric, samples), _all(tags, _EXTRA)),
        has_layers=_LAYERS in tags, profile=profile if isinstance(profile, bytes) else None)


def _alpha(more: int, told: list[int]) -> Literal["none", "straight", "premultiplied"]:
    """Of the channels behind the colours the first may be alpha; one that nobody names is."""
    if more < 1:
        return "none"
    if not told:
        return "straight" if more == 1 else "none"
    return "premultiplied" if told[0] == 1 else "none" if told[0] == 0 else "straight"


def _all(tags: Any, tag: int) -> list[int]:
    value = tags.get(tag)
    if value is None:
        return []
    return [int(one) for one in (value if isinstance(value, tuple) else (value,))]


def _one(tags: Any, tag: int, otherwise: int) -> int:
    return next(iter(_all(tags, tag)), otherwise)
