"""Deflate blocks joined into one zlib stream."""

from __future__ import annotations

import zlib
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from separations.films.deflate import BlockJoiner, code_block, joined_adler
from separations.films.strip_decoding import inflate_rows


@given(first=st.binary(max_size=300), second=st.binary(max_size=300))
def test_joined_checksums_are_those_of_the_joined_bytes(first: bytes, second: bytes) -> None:
    assert joined_adler(zlib.adler32(first), zlib.adler32(second), len(second)) \
        == zlib.adler32(first + second)


def _stream(rows: np.ndarray, cuts: list[int]) -> bytes:
    joiner = BlockJoiner()
    return b"".join(joiner.join(code_block(rows[a:b]))
                    for a, b in pairwise(cuts)) + joiner.close()


def test_joined_blocks_inflate_to_the_rows() -> None:
    rows = np.random.default_rng(1).integers(0, 4, (300, 91)).astype(np.uint8)
    stream = _stream(rows, [0, 100, 101, 300])
    assert zlib.decompress(stream) == rows.tobytes()
    bands = list(inflate_rows((memoryview(stream),), 91, [120, 180]))
    np.testing.assert_array_equal(np.concatenate(bands), rows)


@pytest.mark.parametrize("heights", [[300, 1], [299]])
def test_too_few_or_too_many_rows_are_noticed(heights: list[int]) -> None:
    rows = np.random.default_rng(1).integers(0, 4, (300, 91)).astype(np.uint8)
    with pytest.raises(zlib.error):
        list(inflate_rows((_stream(rows, [0, 300]),), 91, heights))


def test_a_wrong_checksum_is_noticed() -> None:
    rows = np.zeros((10, 10), np.uint8)
    stream = bytearray(_stream(rows, [0, 10]))
    stream[-1] ^= 1
    with pytest.raises(zlib.error):
        list(inflate_rows((memoryview(stream),), 10, [10]))
