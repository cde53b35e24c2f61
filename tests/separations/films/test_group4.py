"""Group 4 code decodes to the very rows in a library that did not write it (libtiff)."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from separations.films.fax_codes import run_codes, vertical_codes
from separations.films.group4 import StripJoiner, code_rows
from separations.films.strip_decoding import decode_group4


def _joined(packed: np.ndarray, columns: int, cuts: list[int]) -> tuple[bytes, list[int]]:
    joiner, code, above = StripJoiner(), b"", np.zeros(packed.shape[1], np.uint8)
    ends = [0]
    for first, end in pairwise(cuts):
        code += joiner.join(code_rows(packed[first:end], above, columns))
        above = packed[end - 1]
        ends.append(joiner.bits)
    return code + joiner.close(), ends


def _rows(kind: str, rows: int, columns: int, rng: np.random.Generator) -> np.ndarray:
    if kind == "noise":
        return rng.random((rows, columns)) < rng.random()
    if kind == "runs":
        return np.repeat(rng.random((rows, columns // 90 + 1)) < 0.5, 90, axis=1)[:, :columns]
    if kind == "bars":
        return np.tile(rng.random((rows, 1)) < 0.5, columns)
    return np.asarray(rng.integers(-1, 2, (rows, columns)).cumsum(axis=0) % 7 < 3)


@given(kind=st.sampled_from(["noise", "runs", "bars", "drifting"]), rows=st.integers(1, 30),
       columns=st.sampled_from([1, 7, 8, 63, 64, 65, 500, 2559, 2560, 2561, 5120, 9000]),
       seed=st.integers(0, 2**32 - 1), data=st.data())
def test_joined_strips_decode_to_the_rows(kind: str, rows: int, columns: int, seed: int,
                                          data: st.DataObject) -> None:
    bits = _rows(kind, rows, columns, np.random.default_rng(seed))
    packed = np.packbits(bits, axis=1)
    inner = data.draw(st.sets(st.integers(1, rows - 1), max_size=3)) if rows > 1 else set()
    code, ends = _joined(packed, columns, [0, *sorted(inner), rows])
    blank = bytes(packed.shape[1])
    decoded = decode_group4(memoryview(code), 0, ends[-1], blank, rows, columns)
    assert decoded[0].tobytes() == blank
    np.testing.assert_array_equal(decoded[1:], packed)


def test_a_strip_decodes_on_its_own_against_the_row_above_it() -> None:
    bits = _rows("drifting", 40, 1000, np.random.default_rng(4))
    packed = np.packbits(bits, axis=1)
    code, ends = _joined(packed, 1000, [0, 13, 29, 40])
    decoded = decode_group4(memoryview(code), ends[1], ends[2], packed[12].tobytes(), 16, 1000)
    np.testing.assert_array_equal(decoded, packed[12:29])


def test_strips_change_nothing_about_the_stream() -> None:
    packed = np.packbits(_rows("drifting", 50, 777, np.random.default_rng(9)), axis=1)
    whole, _ = _joined(packed, 777, [0, 50])
    for cuts in ([0, 1, 50], [0, 17, 18, 33, 50], list(range(51))):
        assert _joined(packed, 777, cuts)[0] == whole


def test_no_code_word_begins_another() -> None:
    words, lengths = run_codes()
    for colour in range(2):
        ends = [format(word, f"0{length}b") for word, length
                in zip(words[colour, :64], lengths[colour, :64], strict=True)]
        for code in ends:
            assert sum(other.startswith(code) for other in ends) == 1
    modes = [format(word, f"0{length}b")
             for word, length in zip(*vertical_codes(), strict=True)] + ["0001", "001"]
    for code in modes:
        assert sum(other.startswith(code) for other in modes) == 1


def test_halftone_rows_take_less_room_than_their_bits() -> None:
    place = np.arange(4000) / 32
    bits = np.cos(2 * np.pi * place[:200, None]) + np.cos(2 * np.pi * place) > 0.4
    strip = code_rows(np.packbits(bits, axis=1), np.zeros(500, np.uint8), 4000)
    assert strip.bits < bits.size / 5
    assert len(strip.code) == (strip.bits + 7) // 8


@pytest.mark.parametrize("fault", [0, 1])
def test_a_flipped_bit_does_not_pass(fault: int) -> None:
    packed = np.packbits(_rows("drifting", 40, 1000, np.random.default_rng(4)), axis=1)
    code, ends = _joined(packed, 1000, [0, 40])
    broken = bytearray(code)
    broken[len(code) // 3] ^= 0x80 >> fault
    try:
        decoded = decode_group4(memoryview(broken), 0, ends[1], bytes(125), 40, 1000)
    except OSError:
        return
    assert (decoded[1:] != packed).any()
