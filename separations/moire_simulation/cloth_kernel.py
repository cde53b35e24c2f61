"""The compiled loops that lay ink through a cloth."""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from separations.compiled_code import FLAGS, LENT_FLAGS

_TABLE = 1024


@njit(**FLAGS)
def ink_through(  # type: ignore[no-untyped-def]
        start, row_step, column_step, bar, weave, ramp, out):
    """Ink that passes (0 to 1) at each pixel: nothing under the threads.

    ``start``, ``row_step`` and ``column_step`` are positions (s, t) in pitches of the first pixel,
    and of one row and one column.
    """
    waves = np.empty(_TABLE, np.float32)
    for n in range(_TABLE):
        waves[n] = np.float32(math.cos(2.0 * math.pi * n / _TABLE))
    sharp = np.float32(1.0 / ramp)
    half = np.float32(bar / 2.0)
    swing = np.float32(bar / 2.0 * weave)
    for row in range(out.shape[0]):
        s0 = start[0] + row * row_step[0]
        t0 = start[1] + row * row_step[1]
        for column in range(out.shape[1]):
            s = s0 + column * column_step[0]
            t = t0 + column * column_step[1]
            i, j = math.floor(s + 0.5), math.floor(t + 0.5)
            odd_i, odd_j = int(i) & 1, int(j) & 1
            wave_t = waves[int((t * 0.5 - math.floor(t * 0.5)) * _TABLE) % _TABLE]
            wave_s = waves[int((s * 0.5 - math.floor(s * 0.5)) * _TABLE) % _TABLE]
            warp_half = half + (swing if odd_i == 0 else -swing) * wave_t
            weft_half = half - (swing if odd_j == 0 else -swing) * wave_s
            one = (np.float32(abs(s - i)) - warp_half) * sharp + np.float32(0.5)
            other = (np.float32(abs(t - j)) - weft_half) * sharp + np.float32(0.5)
            one = min(max(one, np.float32(0.0)), np.float32(1.0))
            other = min(max(other, np.float32(0.0)), np.float32(1.0))
            out[row, column] = one * other


@njit(**LENT_FLAGS)
def through_dots(packed, opening, out):  # type: ignore[no-untyped-def]
    """What of a cloth's opening, shape (rows, columns), lies at the dots; nothing beside them.

    ``packed`` are the dots, leftmost in the highest bit, shape (rows, columns / 8).
    """
    for row in range(out.shape[0]):
        for byte in range(packed.shape[1]):
            dots = packed[row, byte]
            for bit in range(8):
                column = 8 * byte + bit
                out[row, column] = (opening[row, column] if dots & np.uint8(128 >> bit)
                                    else np.float32(0.0))
