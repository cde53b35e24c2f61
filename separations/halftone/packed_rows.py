"""Film rows of eight pixels to a byte, leftmost in the highest bit: packed, and cut to spans."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from separations.runtime.compiled_code import compiled_on_borrowed_arrays, inner_kernel

_PACK = np.uint64(0x8040201008040201)
_HIGH = np.uint64(56)
#: How much of something there is.
NONE, PART, ALL = np.uint8(0), np.uint8(1), np.uint8(2)


@inner_kernel
def pack(eight: NDArray[np.uint64], out: NDArray[np.uint8]) -> None:
    """Eight 0/1 bytes, read as one word, to one byte, leftmost pixel in the highest bit."""
    for j in range(out.size):
        out[j] = np.uint8((eight[j] * _PACK) >> _HIGH)


@compiled_on_borrowed_arrays
def add_ones(packed: NDArray[np.uint8], counts: NDArray[np.uint32]) -> None:
    """Add the set bits of packed rows to counts, uint32, one for each byte of a row."""
    one, two, four = np.uint8(1), np.uint8(2), np.uint8(4)
    odd, pairs, nibbles = np.uint8(0x55), np.uint8(0x33), np.uint8(0x0F)
    for r in range(packed.shape[0]):
        row = packed[r]
        for c in range(counts.size):
            bits = np.uint8(row[c] - ((row[c] >> one) & odd))
            bits = np.uint8((bits & pairs) + ((bits >> two) & pairs))
            counts[c] += np.uint32((bits + (bits >> four)) & nibbles)


@inner_kernel
def kept(starts: NDArray[np.int32], ends: NDArray[np.int32], first_column: int,
         end_column: int) -> np.uint8:
    """How much of a stretch a row's spans keep, as far as one of them can tell."""
    found = NONE if starts.size else ALL
    for s in range(starts.size):
        if starts[s] <= first_column and ends[s] >= end_column:
            found = ALL
        elif starts[s] < end_column and ends[s] > first_column:
            found = max(found, PART)
    return found


@inner_kernel
def clear_outside(starts: NDArray[np.int32], ends: NDArray[np.int32], first_column: int,
                  packed_row: NDArray[np.uint8], keep: NDArray[np.uint8]) -> None:
    """Clear the bits of one row that lie in none of its spans; ``keep`` is room for as many."""
    keep[:] = 0
    width = packed_row.size * 8
    for s in range(starts.size):
        start = min(max(starts[s] - first_column, 0), width)
        end = min(max(ends[s] - first_column, 0), width)
        if start >= end:
            continue
        first = start >> 3
        last = (end - 1) >> 3
        for k in range(first, last + 1):
            bits = 0xFF
            if k == first:
                bits &= 0xFF >> (start & 7)
            if k == last:
                bits &= (0xFF00 >> (((end - 1) & 7) + 1)) & 0xFF
            keep[k] |= np.uint8(bits)
    for k in range(packed_row.size):
        packed_row[k] &= keep[k]


@compiled_on_borrowed_arrays
def fill_runs(bounds: NDArray[np.int32], offsets: NDArray[np.int64], first_column: int,
              packed: NDArray[np.uint8]) -> None:
    """Set the bits of all runs: a row's bounds are pairs from one of its offsets to the next."""
    width = packed.shape[1] * 8
    for r in range(packed.shape[0]):
        for k in range(offsets[r], offsets[r + 1], 2):
            start = min(max(bounds[k] - first_column, 0), width)
            end = min(max(bounds[k + 1] - first_column, 0), width)
            if start >= end:
                continue
            first = start >> 3
            last = (end - 1) >> 3
            for byte in range(first, last + 1):
                bits = 0xFF
                if byte == first:
                    bits &= 0xFF >> (start & 7)
                if byte == last:
                    bits &= (0xFF00 >> (((end - 1) & 7) + 1)) & 0xFF
                packed[r, byte] |= np.uint8(bits)
