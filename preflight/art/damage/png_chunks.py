"""PNG files held against their own checksums and sizes."""

from __future__ import annotations

import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import BinaryIO

from preflight.art.damage.picture_damage import PictureDamage, from_row

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_CHANNELS = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}
#: Starts and steps, across and down, of the seven passes of an interlaced PNG.
_ADAM7 = ((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2),
          (0, 1, 1, 2))
_PIECE = 2**18
_PALETTE = 3


def png_damage(stream: BinaryIO) -> PictureDamage | None:
    """What is wrong with a PNG; None where it is as it was saved.

    Every chunk's checksum is looked at, and the pixels are unpacked in small pieces to see that
    they are all there and that their own checksum is right.

    Notes
    -----
    Source: Portable Network Graphics specification, third edition, clauses 5 (chunks), 7.2 and 8
    (bytes of a row, interlacing), 10 (compression).
    """
    stream.seek(0)
    if stream.read(len(_SIGNATURE)) != _SIGNATURE:
        return PictureDamage(says="its first bytes are not a PNG's")
    pixels: _Pixels | None = None
    kinds: set[bytes] = set()
    for chunk in _chunks(stream):
        if isinstance(chunk, PictureDamage):
            return pixels.cut_off(chunk.says) if pixels else chunk
        kind, pieces = chunk
        kinds.add(kind)
        if kind == b"IHDR":
            pixels = _Pixels.of(b"".join(pieces))
        elif kind == b"IDAT" and pixels is not None:
            found = pixels.take(pieces)
            if found is not None:
                return found
        elif kind == b"IEND":
            break
    if pixels is None:
        return PictureDamage(says="its header is missing")
    if pixels.needs_palette and b"PLTE" not in kinds:
        return PictureDamage(says="its palette is missing", share=1.0)
    return pixels.at_the_end() or (
        None if b"IEND" in kinds else PictureDamage(says="its end is missing"))


_Chunk = tuple[bytes, list[bytes]]


def _chunks(stream: BinaryIO) -> Iterator[_Chunk | PictureDamage]:
    """Chunks, those with pixels piece by piece; the last may be what is wrong with them."""
    while head := stream.read(8):
        length, kind = int.from_bytes(head[:4], "big"), head[4:]
        if len(head) < 8 or length >= 2**31 or not kind.isalpha():
            yield PictureDamage(says="one of its parts has no valid header")
            return
        checked, left = zlib.crc32(kind), length
        pieces: list[bytes] = []
        while left:
            piece = stream.read(min(left, _PIECE))
            if not piece:
                yield PictureDamage(says="its end is missing")
                return
            checked, left = zlib.crc32(piece, checked), left - len(piece)
            if kind in {b"IHDR", b"IDAT"}:
                pieces.append(piece)
        if stream.read(4) != checked.to_bytes(4, "big"):
            yield PictureDamage(says=f"the checksum of its {kind.decode('ascii')} part is wrong")
            return
        yield kind, pieces


@dataclass(slots=True)
class _Pixels:
    """Counts a PNG's pixels as they are unpacked."""

    rows: int
    expected: int
    row_bytes: int
    interlaced: bool
    needs_palette: bool
    count: int = 0
    _unpacker: zlib._Decompress = field(default_factory=zlib.decompressobj)

    @classmethod
    def of(cls, head: bytes) -> _Pixels | None:
        """From an IHDR chunk; None where it makes no sense."""
        if len(head) != 13 or head[9] not in _CHANNELS:
            return None
        width, height = int.from_bytes(head[:4], "big"), int.from_bytes(head[4:8], "big")
        bits, interlaced = head[8] * _CHANNELS[head[9]], bool(head[12])

        def packed(columns: int, rows: int) -> int:
            return rows * (1 + (columns * bits + 7) // 8) if columns > 0 and rows > 0 else 0

        expected = sum(packed(-(-(width - x) // across), -(-(height - y) // down))
                       for x, y, across, down in _ADAM7) if interlaced else packed(width, height)
        return cls(rows=height, expected=expected, row_bytes=1 + (width * bits + 7) // 8,
                   interlaced=interlaced, needs_palette=head[9] == _PALETTE)

    def take(self, pieces: list[bytes]) -> PictureDamage | None:
        """Unpack some pieces; says what is wrong with them."""
        try:
            for piece in pieces:
                packed = piece
                while packed and self.count <= self.expected:
                    self.count += len(self._unpacker.decompress(packed, _PIECE * 4))
                    packed = self._unpacker.unconsumed_tail
        except zlib.error:
            return self.cut_off("its pixels cannot be unpacked")
        return None

    def at_the_end(self) -> PictureDamage | None:
        """What is missing after the last piece."""
        if self.count < self.expected:
            return self.cut_off("it holds fewer rows than its size claims")
        # Some writers add bytes that no row has room for; no more of them are unpacked.
        if self._unpacker.eof or self.count > self.expected:
            return None
        return self.cut_off("the end of its pixels is missing")

    def cut_off(self, says: str) -> PictureDamage:
        """Damage from where the pixels were sound so far."""
        if self.interlaced:
            return PictureDamage(says=says)
        return from_row(self.count // self.row_bytes, self.rows, says)
