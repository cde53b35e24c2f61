"""A written TIFF read again: its tags by Pillow, its strips by libtiff or zlib."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL.TiffImagePlugin import ImageFileDirectory_v2

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
    name, facts = record.path.name, record.facts
    with record.path.open("rb") as source:
        tags = ImageFileDirectory_v2(source.read(8))
        source.seek(tags.next)
        tags.load(source)
        said = (tags[256], tags[257], tags[258][0], tags[259], tags[262], float(tags[282]),
                float(tags[283]), tags[296])
        asked = (facts.columns, facts.rows, facts.bits, facts.compression, 0, facts.ppi,
                 facts.ppi, 2)
        if not np.allclose(said, asked, rtol=1e-9, atol=0):
            raise FilmReadBackError(f"{name} says {said} of itself, not {asked}")
        strips = zip(tags[273], tags[279], record.digests, strict=True)
        for number, (place, length, digest) in enumerate(strips):
            source.seek(place)
            first = number * facts.rows_per_strip
            rows = min(facts.rows_per_strip, facts.rows - first)
            try:
                decoded = _decoded(source.read(length), rows, facts)
            except (OSError, zlib.error) as fault:
                raise FilmReadBackError(f"{name} cannot be read: {fault}") from fault
            if checksum(np.frombuffer(decoded, np.uint8)) != digest:
                raise FilmReadBackError(f"{name} differs from row {first} on")


def _decoded(code: bytes, rows: int, facts: TiffFacts) -> bytes | memoryview:
    if facts.compression == GROUP4:
        return np.ascontiguousarray(decode_tiff_strip(code, rows, facts.columns)).data
    return zlib.decompress(code)
