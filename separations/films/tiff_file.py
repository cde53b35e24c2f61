"""A TIFF written strip by strip, its directory last, nothing held but the strips' places."""

from __future__ import annotations

import struct
from dataclasses import dataclass
from fractions import Fraction
from typing import BinaryIO

GROUP4 = 4
DEFLATE = 8
_WHITE_IS_ZERO, _BLACK_IS_ZERO = 0, 1
_ASCII, _SHORT, _LONG, _RATIONAL = 2, 3, 4, 5
_SIZES = {_ASCII: 1, _SHORT: 2, _LONG: 4, _RATIONAL: 8}
_CODES = {_ASCII: "s", _SHORT: "H", _LONG: "I", _RATIONAL: "II"}
_MOST_DENOMINATOR = 1_000_000
_INCH = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class TiffFacts:
    """A picture of one channel: in 1 bit 1 is ink, in more 0 is solid ink.

    Attributes
    ----------
    rows, columns : int
        Size in pixels.
    rows_per_strip : int
        Rows of each strip but perhaps the last.
    bits : int
        1, or 16 to the pixel, the low byte first.
    compression : int
        `GROUP4` or `DEFLATE`.
    ppi : float
        Pixels per inch, written as an exact fraction.
    title, date : str
        What it shows, and the job's date (ISO 8601).
    """

    rows: int
    columns: int
    rows_per_strip: int
    bits: int
    compression: int
    ppi: float
    title: str
    date: str

    @property
    def photometric(self) -> int:
        """TIFF's word for which end of the values is white."""
        return _WHITE_IS_ZERO if self.bits == 1 else _BLACK_IS_ZERO

    @property
    def words(self) -> tuple[str, str, str]:
        """What the file says in words: description, software, date and time."""
        return (self.title.encode("ascii", "replace").decode("ascii"), "topsheet",
                f"{self.date.replace('-', ':')} 00:00:00")


class TiffFile:
    """Writes strips as they come, then the directory that names them.

    Notes
    -----
    Source: TIFF Revision 6.0 (tag numbers, PhotometricInterpretation 0 = WhiteIsZero,
    1 = BlackIsZero, ResolutionUnit 2 = inch). From memory, unverified.
    """

    def __init__(self, target: BinaryIO, facts: TiffFacts) -> None:
        self._target = target
        self._facts = facts
        self._places: list[int] = []
        self._lengths: list[int] = []
        target.write(b"II*\0" + bytes(4))

    def write(self, strip: bytes) -> None:
        """Add the next strip's code."""
        self._places.append(self._target.tell())
        self._lengths.append(len(strip))
        self._target.write(strip)

    def close(self) -> None:
        """Write the directory and say at the file's head where it lies."""
        entries = sorted(self._entries())
        if self._target.tell() % 2:
            self._target.write(b"\0")
        start = self._target.tell()
        beyond = start + 2 + 12 * len(entries) + 4
        directory, data = struct.pack("<H", len(entries)), b""
        for tag, kind, values in entries:
            packed = _packed(kind, values)
            if len(packed) > 4:
                place = struct.pack("<I", beyond + len(data))
                data += packed + bytes(len(packed) % 2)
            else:
                place = packed.ljust(4, b"\0")
            directory += struct.pack("<HHI", tag, kind, len(packed) // _SIZES[kind]) + place
        self._target.write(directory + bytes(4) + data)
        self._target.seek(4)
        self._target.write(struct.pack("<I", start))

    def _entries(self) -> list[tuple[int, int, list[int] | bytes]]:
        facts = self._facts
        exact = Fraction(facts.ppi).limit_denominator(_MOST_DENOMINATOR)
        ppi = [exact.numerator, exact.denominator]
        title, tool, stamp = (word.encode("ascii") + b"\0" for word in facts.words)
        return [
            (256, _LONG, [facts.columns]), (257, _LONG, [facts.rows]), (258, _SHORT, [facts.bits]),
            (259, _SHORT, [facts.compression]), (262, _SHORT, [facts.photometric]),
            (270, _ASCII, title), (273, _LONG, self._places), (274, _SHORT, [1]),
            (277, _SHORT, [1]), (278, _LONG, [facts.rows_per_strip]), (279, _LONG, self._lengths),
            (282, _RATIONAL, ppi), (283, _RATIONAL, ppi), (296, _SHORT, [_INCH]),
            (305, _ASCII, tool), (306, _ASCII, stamp)]


def _packed(kind: int, values: list[int] | bytes) -> bytes:
    if isinstance(values, bytes):
        return values
    code = _CODES[kind] * (len(values) // len(_CODES[kind]))
    return struct.pack("<" + code, *values)
