"""A board's proof as a PNG file, coded several times as fast as by a library for all pictures."""

from __future__ import annotations

import struct

import numpy as np
from isal import isal_zlib
from numpy.typing import NDArray

from preflight.units import MM_PER_INCH

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_EIGHT_BITS, _TRUE_COLOUR, _PER_METRE = 8, 2, 1
_LEVEL = 1
#: Bytes filtered and coded at a time.
_BAND_BYTES = 1 << 20


def proof_png(srgb: NDArray[np.uint8], ppi: float) -> bytes:
    """A picture as PNG with its resolution, the same bytes for the same pixels.

    Parameters
    ----------
    srgb : ndarray of uint8, shape (rows, columns, 3)
        The picture.
    ppi : float
        Pixels to an inch.

    Notes
    -----
    Wood never repeats itself: one filter does for all its rows, and a longer search for what was
    there before finds nothing. Source of the format: ISO/IEC 15948.
    """
    from separations.proof.paeth_kernel import paeth_rows

    rows, columns, channels = srgb.shape
    levels = np.ascontiguousarray(srgb).reshape(rows, -1)
    at_once = max(1, _BAND_BYTES // levels.shape[1])
    filtered = np.empty((min(at_once, rows), 1 + levels.shape[1]), np.uint8)
    coder = isal_zlib.compressobj(_LEVEL)
    parts = []
    for first in range(0, rows, at_once):
        stop = min(first + at_once, rows)
        paeth_rows(levels, first, stop, channels, filtered)
        parts.append(coder.compress(filtered[:stop - first].data))
    parts.append(coder.flush())
    per_metre = round(ppi * 1000 / MM_PER_INCH)
    return b"".join((
        _SIGNATURE,
        _chunk(b"IHDR", struct.pack(">IIBBBBB", columns, rows, _EIGHT_BITS, _TRUE_COLOUR, 0, 0, 0)),
        _chunk(b"pHYs", struct.pack(">IIB", per_metre, per_metre, _PER_METRE)),
        _chunk(b"IDAT", b"".join(parts)), _chunk(b"IEND", b"")))


def _chunk(kind: bytes, data: bytes) -> bytes:
    """Length, kind, data and check sum."""
    return b"".join((struct.pack(">I", len(data)), kind, data,
                     struct.pack(">I", isal_zlib.crc32(data, isal_zlib.crc32(kind)))))
