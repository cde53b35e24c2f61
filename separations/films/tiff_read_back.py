"""A written TIFF read again: its tags by tifffile, its strips by libtiff or zlib."""

from __future__ import annotations

import struct
import zlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from separations.films.read_back import FilmReadBackError
from separations.films.strip_decoding import checksum, decode_tiff_strip
from separations.films.tiff_file import GROUP4, TiffFacts


@dataclass(frozen=True, slots=True, kw_only=True)
class TiffRecord:
    """A written TIFF, what it was to be, and the checksum of each strip's packed rows."""

    path: Path
    facts: TiffFacts
    digests: tuple[bytes, ...]


def read_back_tiff(record: TiffRecord) -> None:
    """Compare a written TIFF with what it was made from.

    Raises
    ------
    FilmReadBackError
        At the first difference.
    """
    from tifffile import TiffFile, TiffFileError

    name, facts = record.path.name, record.facts
    try:
        with TiffFile(record.path) as tiff:
            if len(tiff.pages) != 1:
                raise FilmReadBackError(f"{name} has {len(tiff.pages)} pages")
            page = tiff.pages.first
            said = (page.imagewidth, page.imagelength, page.bitspersample, page.compression,
                    page.photometric, *page.get_resolution("inch"))
            asked = (facts.columns, facts.rows, facts.bits, facts.compression,
                     facts.photometric, facts.ppi, facts.ppi)
            words = (page.description, page.software, page.tags["DateTime"].value)
            if words != facts.words:
                raise FilmReadBackError(f"{name} says {words} of itself, not {facts.words}")
            if not np.allclose(said, asked, rtol=1e-9, atol=0):
                raise FilmReadBackError(f"{name} says {said} of itself, not {asked}")
            strips = zip(page.dataoffsets, page.databytecounts, record.digests, strict=True)
            for number, (place, length, digest) in enumerate(strips):
                tiff.filehandle.seek(place)
                first = number * facts.rows_per_strip
                rows = min(facts.rows_per_strip, facts.rows - first)
                decoded = _decoded(tiff.filehandle.read(length), rows, facts)
                if checksum(np.frombuffer(decoded, np.uint8)) != digest:
                    raise FilmReadBackError(f"{name} differs from row {first} on")
    except (OSError, LookupError, ValueError, TiffFileError, struct.error, zlib.error) as fault:
        raise FilmReadBackError(f"{name} cannot be read: {fault}") from fault


def _decoded(code: bytes, rows: int, facts: TiffFacts) -> bytes | memoryview:
    if facts.compression == GROUP4:
        return np.ascontiguousarray(decode_tiff_strip(code, rows, facts.columns)).data
    return zlib.decompress(code)
