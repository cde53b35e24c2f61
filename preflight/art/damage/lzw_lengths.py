"""How many bytes LZW and PackBits codes unpack to, and whether they end as they must."""

from __future__ import annotations

from typing import Any

import numba
import numpy as np
from numpy.typing import NDArray

_MOST_CODES = 4096

Bytes = NDArray[np.uint8]


def lzw_length(packed: Bytes, bits: int, *, low_bit_first: bool) -> tuple[int, bool]:
    """Bytes that a run of LZW codes unpacks to, and whether it ends with the code for the end.

    Parameters
    ----------
    packed : NDArray of uint8, shape (N,)
        The codes.
    bits : int
        Bits of an unpacked value: 8 in TIFF, 2 to 8 in GIF.
    low_bit_first : bool
        As GIF packs codes; TIFF packs the highest bit first and widens codes one earlier.

    Returns
    -------
    length : int
        Unpacked bytes up to the end or the first fault.
    is_sound : bool
        Whether each code was known when it came, and the end was told.

    Notes
    -----
    Source: TIFF 6.0, section 13; GIF 89a specification, appendix F. What strings hold does not
    matter here, so only their lengths are kept.
    """
    length, sound = _lzw(packed, bits, low_bit_first)
    return int(length), bool(sound)


def packbits_length(packed: Bytes) -> int:
    """Bytes that PackBits codes unpack to; a run that is cut off counts as far as it goes.

    Notes
    -----
    Source: TIFF 6.0, section 9.
    """
    return int(_packbits(packed))


def _compiled(function: Any) -> Any:
    return numba.njit(cache=True, nogil=True)(function)


@_compiled
def _lzw(packed: Any, bits: int, low_bit_first: bool) -> tuple[int, bool]:  # noqa: C901  (one loop)
    lengths = np.ones(_MOST_CODES + 2, np.int64)
    clear, end = 1 << bits, (1 << bits) + 1
    early = 0 if low_bit_first else 1
    free, width, former, total = end + 1, bits + 1, -1, 0
    held: Any = 0
    count = 0
    for byte in packed:
        if low_bit_first:
            held |= np.int64(byte) << count
        else:
            held = (held << 8) | np.int64(byte)
        count += 8
        while count >= width:
            if low_bit_first:
                code = held & ((1 << width) - 1)
                held >>= width
            else:
                code = (held >> (count - width)) & ((1 << width) - 1)
                held &= (1 << (count - width)) - 1
            count -= width
            if code == clear:
                free, width, former = end + 1, bits + 1, -1
                continue
            if code == end:
                return total, True
            if former < 0:
                if code >= clear:
                    return total, False
            else:
                if free < _MOST_CODES:
                    lengths[free] = lengths[former] + 1
                    free += 1
                if code >= free or (code > end and code >= _MOST_CODES):
                    return total, False
            total += lengths[code] if code > end else 1
            former = code
            if free + early >= (1 << width) and width < 12:
                width += 1
    return total, False


@_compiled
def _packbits(packed: Any) -> Any:
    at: Any = 0
    total: Any = 0
    while at < len(packed):
        told = np.int64(packed[at])
        if told < 128:
            total += min(told + 1, len(packed) - at - 1)
            at += told + 2
        elif told > 128:
            total += 257 - told if at + 1 < len(packed) else 0
            at += 2
        else:
            at += 1
    return total
