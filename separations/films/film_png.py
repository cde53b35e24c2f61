"""A film's whole page as a PNG of 1 bit, and that PNG read again.

Source: Portable Network Graphics, W3C Recommendation (third edition, 2025): chunks and their
CRC (5.3), IHDR (11.2.1), IDAT (11.2.3), iTXt (11.3.3.4), pHYs (11.3.4.3), filter type 0 (9.2).
Clause numbers from memory.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, NamedTuple

import numpy as np
from isal import isal_zlib
from numpy.typing import NDArray
from PIL.PngImagePlugin import PngImageFile

from preflight.units import MM_PER_INCH
from separations.films.deflate import BlockJoiner, CodedBlock, code_block
from separations.films.page_bits import PageBits
from separations.films.read_back import FilmReadBackError
from separations.films.strip_decoding import checksum, inflate_rows
from separations.halftone.film_bands import in_order, row_bands
from separations.runtime.progress import PacedProgress, Progress

_HEAD = b"\x89PNG\r\n\x1a\n"
_ROWS_PER_BAND = 512
_GREY, _PER_METRE = 0, 1
#: Resolutions are whole pixels per metre: 1440 dpi is told 1.5 millionths too high.
_MM_PER_METRE = 1000
_MOST_OFF = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class PngRecord:
    """A written PNG, what it was to be, and the checksum of each band's rows."""

    path: Path
    rows: int
    columns: int
    dpi: float
    digests: tuple[bytes, ...]


class _MadeBand(NamedTuple):
    block: CodedBlock
    rows: int
    digest: bytes


def write_film_png(path: Path, page: PageBits, *, workers: int = 2,
                   progress: Progress | None = None) -> PngRecord:
    """Write one ink's film, marks and label included; ink is black.

    Parameters are those of `separations.films.film_tiff.write_film_tiff`.
    """
    def make(band: tuple[int, int]) -> _MadeBand:
        rows = _png_rows(page.band(*band))
        return _MadeBand(code_block(rows), len(rows), checksum(rows))

    paced, joiner, digests = PacedProgress(progress, page.rows), BlockJoiner(), []
    with path.open("wb") as target:
        target.write(_HEAD)
        _add(target, b"IHDR", struct.pack(">IIBBBBB", page.columns, page.rows, 1, _GREY, 0, 0, 0))
        per_metre = round(page.dpi * _MM_PER_METRE / MM_PER_INCH)
        _add(target, b"pHYs", struct.pack(">IIB", per_metre, per_metre, _PER_METRE))
        for key, text in (("Title", page.facts.title), ("Software", "topsheet"),
                          ("Creation Time", page.facts.date)):
            _add(target, b"iTXt", key.encode("ascii") + bytes(5) + text.encode())
        for made in in_order(make, row_bands(page.rows, _ROWS_PER_BAND), workers):
            _add(target, b"IDAT", joiner.join(made.block))
            digests.append(made.digest)
            paced.add(made.rows)
        _add(target, b"IDAT", joiner.close())
        _add(target, b"IEND", b"")
    return PngRecord(path=path, rows=page.rows, columns=page.columns, dpi=page.dpi,
                     digests=tuple(digests))


def _png_rows(packed: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Packed rows as PNG has them: a filter's number in front of each, and 0 for black."""
    rows = np.zeros((len(packed), 1 + packed.shape[1]), np.uint8)
    np.invert(packed, out=rows[:, 1:])
    return rows


def _add(target: BinaryIO, kind: bytes, data: bytes) -> None:
    target.write(struct.pack(">I", len(data)) + kind + data)
    target.write(struct.pack(">I", isal_zlib.crc32(data, isal_zlib.crc32(kind))))


def read_back_png(record: PngRecord) -> None:
    """Compare a written PNG with what it was made from: its head by Pillow, its rows by zlib.

    Raises
    ------
    FilmReadBackError
        At the first difference.
    """
    name = record.path.name
    try:
        with PngImageFile(record.path) as picture:
            said = (*picture.size, picture.mode, *picture.info["dpi"])
        asked = (record.columns, record.rows, "1", record.dpi, record.dpi)
        if said[:3] != asked[:3] or not np.allclose(said[3:], asked[3:], rtol=_MOST_OFF, atol=0):
            raise FilmReadBackError(f"{name} says {said} of itself, not {asked}")
        with record.path.open("rb") as source:
            bands = row_bands(record.rows, _ROWS_PER_BAND)
            inflated = inflate_rows(_image_data(source), 1 + (record.columns + 7) // 8,
                                    [end - first for first, end in bands])
            for (first, _), rows, digest in zip(bands, inflated, record.digests, strict=True):
                if checksum(rows) != digest:
                    raise FilmReadBackError(f"{name} differs from row {first} on")
    except (OSError, KeyError, SyntaxError, zlib.error, struct.error) as fault:
        raise FilmReadBackError(f"{name} cannot be read: {fault}") from fault


def _image_data(source: BinaryIO) -> Iterator[bytes]:
    """The image's deflated data, chunk by chunk, each held against its CRC."""
    source.seek(len(_HEAD))
    kind = b""
    while kind != b"IEND":
        length, kind = struct.unpack(">I4s", source.read(8))
        data = source.read(length)
        if struct.unpack(">I", source.read(4))[0] != zlib.crc32(data, zlib.crc32(kind)):
            raise zlib.error(f"a chunk of kind {kind!r} is damaged")
        if kind == b"IDAT":
            yield data
