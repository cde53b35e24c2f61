"""Deflate coding of packed rows, in blocks that can be coded apart and joined byte by byte."""

from __future__ import annotations

import zlib
from typing import NamedTuple

import numpy as np
from isal import isal_zlib
from numpy.typing import NDArray

#: Start of a zlib stream, and the empty last block that ends its deflate data (RFC 1950, 1951).
STREAM_START = bytes((0x78, 0x01))
LAST_BLOCK = bytes((0x03, 0x00))
_LEVEL = 1
_ADLER_MODULUS = 65521


class CodedBlock(NamedTuple):
    """Some rows' deflate blocks, ended on a whole byte; their Adler-32 and length before."""

    code: bytes
    adler: int
    length: int


def code_block(packed: NDArray[np.uint8]) -> CodedBlock:
    """Code rows, shape (rows, row bytes), as deflate blocks that refer to nothing before them."""
    compressor = isal_zlib.compressobj(_LEVEL, isal_zlib.DEFLATED, -15)
    rows = np.ascontiguousarray(packed)
    code = compressor.compress(rows) + compressor.flush(isal_zlib.Z_SYNC_FLUSH)
    return CodedBlock(code, zlib.adler32(rows.data), rows.nbytes)


class BlockJoiner:
    """Joins coded blocks into one zlib stream."""

    def __init__(self) -> None:
        self._adler = 1
        self._begun = False

    def join(self, block: CodedBlock) -> bytes:
        """The stream's next bytes, once the block is added."""
        start = b"" if self._begun else STREAM_START
        self._begun = True
        self._adler = joined_adler(self._adler, block.adler, block.length)
        return start + block.code

    def close(self) -> bytes:
        """The stream's last bytes; the joiner is then done."""
        start = b"" if self._begun else STREAM_START
        return start + LAST_BLOCK + self._adler.to_bytes(4, "big")


def joined_adler(first: int, second: int, second_length: int) -> int:
    """Adler-32 of two stretches of bytes, from those of each and the second's length.

    Source: RFC 1950 (the sum's definition); the joining is arithmetic on it.
    """
    low = (first % 65536 + second % 65536 - 1) % _ADLER_MODULUS
    high = (first // 65536 + second // 65536
            + second_length * (first % 65536 - 1)) % _ADLER_MODULUS
    return high * 65536 + low
