"""Group 4 coding of packed rows, in strips that can be coded apart and joined bit by bit."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np
from llvmlite import ir  # type: ignore[import-untyped]
from numba import types
from numba.extending import intrinsic
from numpy.typing import NDArray

from separations.films.fax_codes import (
    END_OF_BLOCK,
    END_OF_BLOCK_BITS,
    LONGEST_MAKE_UP,
    run_codes,
    vertical_codes,
)
from separations.runtime.compiled_code import compiled, inner_kernel

#: Rows of pixels, 64 in each, the leftmost lowest; and where a row changes colour.
Words = NDArray[np.uint64]
Columns = NDArray[np.int32]

_LONGEST_WORD = 0b000000011111
_LONGEST_WORD_BITS = 12


class CodedStrip(NamedTuple):
    """Some rows' code: whole and one part byte, and how many bits of them count."""

    code: NDArray[np.uint8]
    bits: int


def code_rows(packed: NDArray[np.uint8], above: NDArray[np.uint8], columns: int) -> CodedStrip:
    """Code rows against the row above them.

    Parameters
    ----------
    packed : NDArray of uint8, shape (rows, ceil(columns / 8))
        1 = ink (coded as black), leftmost pixel in the highest bit; clear past the last column.
    above : NDArray of uint8, shape (ceil(columns / 8),)
        The row above the first; all clear above an image's first row.
    columns : int
        Pixels of a row.

    Returns
    -------
    CodedStrip
        The code without an end-of-block word; the last byte's unused bits are 0.
    """
    words = np.zeros((len(packed) + 1, (columns + 63) // 64), np.uint64)
    by_byte = words.view(np.uint8)
    by_byte[0, :packed.shape[1]] = above
    by_byte[1:, :packed.shape[1]] = packed
    runs, run_bits, verticals, vertical_bits = _tables()
    room = np.empty(_room(words), np.uint32)
    bits = _code(words, columns, runs, run_bits, verticals, vertical_bits, room)
    code = room[:bits // 32 + 1].astype(">u4").view(np.uint8)[:(bits + 7) // 8]
    return CodedStrip(code, int(bits))


class StripJoiner:
    """Joins coded strips, none of which need end on a whole byte, into one stream."""

    def __init__(self) -> None:
        self.bits = 0
        self._rest = 0

    def join(self, strip: CodedStrip) -> bytes:
        """The stream's next whole bytes, once the strip is added."""
        shift = self.bits % 8
        self.bits += strip.bits
        code = strip.code
        if shift:
            held = np.zeros(len(code) + 1, np.uint8)
            held[:-1] = code >> shift
            held[1:] |= code << (8 - shift)
            held[0] |= self._rest
            code = held
        whole = (shift + strip.bits) // 8
        self._rest = int(code[whole]) if (shift + strip.bits) % 8 else 0
        return code[:whole].tobytes()

    def close(self) -> bytes:
        """The stream's last bytes with its end-of-block word; the joiner is then done."""
        last = self.join(CodedStrip(np.frombuffer(END_OF_BLOCK, np.uint8), END_OF_BLOCK_BITS))
        return last + (bytes((self._rest,)) if self.bits % 8 else b"")


@lru_cache(maxsize=1)
def _tables() -> tuple[NDArray[np.uint32], NDArray[np.uint8],
                       NDArray[np.uint32], NDArray[np.uint8]]:
    return *run_codes(), *vertical_codes()


@intrinsic
def _trailing_zeros(typing_context, word):  # type: ignore[no-untyped-def]  # noqa: ARG001
    """How many zero bits a word that is not zero ends in."""
    def build(_context, builder, _signature, arguments):  # type: ignore[no-untyped-def]
        return builder.cttz(arguments[0], ir.Constant(ir.IntType(1), 1))

    return types.uint64(types.uint64), build


@inner_kernel
def _changes(words: Words, columns: int, changes: Columns) -> int:
    """The columns at which a row changes colour, four times ``columns`` after the last."""
    one, two, four = np.uint64(1), np.uint64(2), np.uint64(4)
    odd, pairs = np.uint64(0x5555555555555555), np.uint64(0x3333333333333333)
    nibbles = np.uint64(0x0F0F0F0F0F0F0F0F)
    count = 0
    carry = np.uint64(0)
    for k in range(words.size):
        word = words[k]
        word = ((word >> one) & odd) | ((word & odd) << one)
        word = ((word >> two) & pairs) | ((word & pairs) << two)
        word = ((word >> four) & nibbles) | ((word & nibbles) << four)
        change = word ^ ((word << one) | carry)
        carry = word >> np.uint64(63)
        while change:
            changes[count] = k * 64 + np.int32(_trailing_zeros(change))
            count += 1
            change &= change - one
    while count > 0 and changes[count - 1] >= columns:
        count -= 1
    changes[count:count + 4] = columns
    return count


@compiled
def _room(words: Words) -> np.int64:
    """32-bit words that the code of these rows cannot exceed.

    A change costs at most 25 bits and a run 12 bits in 2560 pixels. Here each change inside a
    byte counts 32 bits, and each word 8 changes more, for those between its bytes.
    """
    one = np.uint64(1)
    within_bytes = np.uint64(0x7F7F7F7F7F7F7F7F)
    total = np.int64(0)
    for r in range(words.shape[0]):
        for k in range(words.shape[1]):
            word = words[r, k]
            change = (word ^ (word >> one)) & within_bytes
            change = change - ((change >> one) & np.uint64(0x5555555555555555))
            change = (change & np.uint64(0x3333333333333333)) \
                + ((change >> np.uint64(2)) & np.uint64(0x3333333333333333))
            change = (change + (change >> np.uint64(4))) & np.uint64(0x0F0F0F0F0F0F0F0F)
            total += np.int64((change * np.uint64(0x0101010101010101)) >> np.uint64(56)) + 8
    return total


@compiled
def _code(  # noqa: C901
    words: Words, columns: int, runs: NDArray[np.uint32], run_bits: NDArray[np.uint8],
    verticals: NDArray[np.uint32], vertical_bits: NDArray[np.uint8], out: NDArray[np.uint32],
) -> np.int64:
    """Code all rows but the first against the row above each, into 32-bit words; the bits.

    Bits wait in ``waiting`` until 32 are there. That step is written out where it is needed: a
    call for each code word would cost more than all the rest.
    """
    above = np.empty(columns + 72, np.int32)
    here = np.empty(columns + 72, np.int32)
    _changes(words[0], columns, above)
    waiting, count, position = np.uint64(0), np.int64(0), np.int64(0)
    ends = np.empty(3, np.int64)
    for r in range(1, words.shape[0]):
        _changes(words[r], columns, here)
        at, colour, i, j = -1, 0, 0, 0
        while at < columns:
            while above[j] <= at and above[j] < columns:
                j += 2
            change = here[i]
            step = change - above[j]
            if above[j + 1] < change:
                value, length = np.uint64(1), np.int64(4)
                at = above[j + 1]
            elif -3 <= step <= 3:
                value, length = np.uint64(verticals[step + 3]), np.int64(vertical_bits[step + 3])
                at = change
                colour ^= 1
                i += 1
                j = j - 1 if j > 0 else j + 1
            else:
                value, length = np.uint64(1), np.int64(3)
                ends[0], ends[1], ends[2] = max(at, 0), change, here[i + 1]
                for half in range(2):
                    run = ends[half + 1] - ends[half]
                    while run >= LONGEST_MAKE_UP:
                        waiting = (waiting << np.uint64(length)) | value
                        count += length
                        if count >= 32:
                            count -= 32
                            out[position] = np.uint32(waiting >> np.uint64(count))
                            position += 1
                        value, length = np.uint64(_LONGEST_WORD), np.int64(_LONGEST_WORD_BITS)
                        run -= LONGEST_MAKE_UP
                    waiting = (waiting << np.uint64(length)) | value
                    count += length
                    if count >= 32:
                        count -= 32
                        out[position] = np.uint32(waiting >> np.uint64(count))
                        position += 1
                    value = np.uint64(runs[colour ^ half, run])
                    length = np.int64(run_bits[colour ^ half, run])
                at = here[i + 1]
                i += 2
            waiting = (waiting << np.uint64(length)) | value
            count += length
            if count >= 32:
                count -= 32
                out[position] = np.uint32(waiting >> np.uint64(count))
                position += 1
        above, here = here, above
    out[position] = np.uint32((waiting << np.uint64(32 - count)) & np.uint64(0xFFFFFFFF))
    return position * 32 + count
