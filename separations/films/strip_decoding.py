"""Coded rows decoded again by libraries that did not code them: libtiff for Group 4, zlib.

A strip of a Group 4 stream makes sense only against the row above it. Each is therefore given to
libtiff as a small TIFF of its own: first the row above, then the strip's very bits out of the
stream. If every strip decodes to its rows and its last row is the next one's row above, the
whole stream does.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterable, Iterator

import numpy as np
from isal import isal_zlib
from numpy.typing import NDArray

from separations.films.group4 import CodedStrip, StripJoiner, code_rows
from separations.films.libtiff import one_strip


def checksum(rows: NDArray[np.uint8]) -> bytes:
    """CRC-32 and Adler-32 of packed rows, 8 bytes.

    Against faults, not against forgers: a SHA-256 would take a tenth of the time of decoding.
    Two strips that differ agree in both by a chance of about 2⁻⁶⁴.
    """
    held = np.ascontiguousarray(rows).data
    return struct.pack("<II", isal_zlib.crc32(held), isal_zlib.adler32(held))


_TIFF_ENTRY_COUNT = 9
_TIFF_DATA_START = 8 + 2 + 12 * _TIFF_ENTRY_COUNT + 4
_GROUP4 = 4
_BLACK_IS_ZERO = 1
_SHORT, _LONG = 3, 4


def decode_group4(stream: memoryview, first_bit: int, end_bit: int, above: bytes,
                  rows: int, columns: int) -> NDArray[np.uint8]:
    """Decode one strip of a stream.

    Parameters
    ----------
    stream : memoryview
        The image's whole stream.
    first_bit, end_bit : int
        Where the strip's code lies in it.
    above : bytes
        The packed row above the strip.
    rows, columns : int
        Size of the strip in pixels.

    Returns
    -------
    NDArray of uint8, shape (1 + rows, ceil(columns / 8))
        The row above and the strip's rows, 1 = ink.

    Raises
    ------
    OSError
        When the code cannot be decoded.
    """
    joiner = StripJoiner()
    white = np.zeros(len(above), np.uint8)
    top = code_rows(np.frombuffer(above, np.uint8)[None], white, columns)
    code = joiner.join(top) + joiner.join(_bits(stream, first_bit, end_bit)) + joiner.close()
    return one_strip(_tiff(code, rows + 1, columns), rows + 1, columns)


def decode_tiff_strip(code: bytes, rows: int, columns: int) -> NDArray[np.uint8]:
    """Decode a Group 4 strip that refers to nothing above it.

    Returns
    -------
    NDArray of uint8, shape (rows, ceil(columns / 8))
        1 = ink.

    Raises
    ------
    OSError
        When the code cannot be decoded.
    """
    return one_strip(_tiff(code, rows, columns), rows, columns)


def inflate_rows(stream: Iterable[bytes | memoryview], row_bytes: int,
                 heights: list[int]) -> Iterator[NDArray[np.uint8]]:
    """Inflate a stream, told piece by piece, in bands of the given heights.

    Yields
    ------
    NDArray of uint8, shape (rows, row_bytes)
        The next band.

    Raises
    ------
    zlib.error
        When the stream is not what it should be, or its checksum is not.
    """
    inflater, pieces = zlib.decompressobj(), iter(stream)
    waiting: bytes | memoryview = b""
    for height in heights:
        made = bytearray()
        while len(made) < height * row_bytes and not inflater.eof:
            waiting = waiting or next(pieces, b"")
            if not waiting:
                break
            made += inflater.decompress(waiting, height * row_bytes - len(made))
            waiting = inflater.unconsumed_tail
        if len(made) < height * row_bytes:
            raise zlib.error("the stream ends too soon")
        yield np.frombuffer(made, np.uint8).reshape(height, row_bytes)
    beyond = b"".join(inflater.decompress(piece) for piece in (waiting, *pieces))
    if beyond or not inflater.eof or inflater.unused_data:
        raise zlib.error("the stream does not end with its rows")


def _bits(stream: memoryview, first_bit: int, end_bit: int) -> CodedStrip:
    """A stretch of bits moved to start on a whole byte."""
    code = np.frombuffer(stream[first_bit // 8:(end_bit + 7) // 8], np.uint8)
    shift = first_bit % 8
    if shift:
        moved: NDArray[np.uint8] = code << np.uint8(shift)
        moved[:-1] |= code[1:] >> np.uint8(8 - shift)
        code = moved
    bits = end_bit - first_bit
    code = code[:(bits + 7) // 8].copy()
    if bits % 8:
        code[-1] &= 0xFF << (8 - bits % 8) & 0xFF
    return CodedStrip(code, bits)


def _tiff(code: bytes, rows: int, columns: int) -> bytes:
    """A one-strip TIFF (TIFF 6.0) round Group 4 code."""
    entries = ((256, _LONG, columns), (257, _LONG, rows), (258, _SHORT, 1), (259, _SHORT, _GROUP4),
               (262, _SHORT, _BLACK_IS_ZERO), (273, _LONG, _TIFF_DATA_START), (277, _SHORT, 1),
               (278, _LONG, rows), (279, _LONG, len(code)))
    head = b"II*\0" + struct.pack("<IH", 8, len(entries))
    return (head + b"".join(struct.pack("<HHII", tag, kind, 1, value)
                            for tag, kind, value in entries) + struct.pack("<I", 0) + code)
