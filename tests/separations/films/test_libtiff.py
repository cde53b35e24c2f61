"""One strip of Group 4 by libtiff itself and through Pillow, and what is no such strip."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from PIL import Image
from PIL.TiffImagePlugin import TiffImageFile

from separations.films import libtiff
from separations.films.libtiff import one_strip, through_pillow


def _saved(bits: np.ndarray) -> bytes:
    target = BytesIO()
    Image.fromarray(bits).save(target, "TIFF", compression="group4",
                               tiffinfo={278: bits.shape[0]})
    return target.getvalue()


@pytest.mark.parametrize("columns", [1, 7, 8, 9, 63, 64, 65, 1000, 9001])
def test_packed_rows_are_pillows(columns: int) -> None:
    """Pillow 13 saves and opens the strips; its own pixels are what both ways should give."""
    bits = np.random.default_rng(columns).random((37, columns)) < 0.4
    bits[:, -1] = True
    tiff = _saved(bits)
    with Image.open(BytesIO(tiff)) as picture:
        assert isinstance(picture, TiffImageFile)
        set_bits = np.asarray(picture) == (picture.tag_v2[262] == 1)
    expected = np.packbits(set_bits, axis=1)
    np.testing.assert_array_equal(one_strip(tiff, 37, columns), expected)


def test_without_the_library_pillow_gives_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    bits = np.random.default_rng(3).random((20, 77)) < 0.5
    tiff = _saved(bits)
    packed = one_strip(tiff, 20, 77)
    monkeypatch.setattr(libtiff, "_library", lambda: None)
    np.testing.assert_array_equal(one_strip(tiff, 20, 77), packed)
    np.testing.assert_array_equal(through_pillow(tiff), packed)


def test_pillows_own_library_is_found() -> None:
    """Wheels of Pillow for Linux and macOS bring it; a system's Pillow links the system's."""
    assert libtiff._library() is not None


@pytest.mark.parametrize("tiff", [b"", b"II*\0", b"not a picture at all"])
def test_what_is_no_tiff_is_an_error(tiff: bytes) -> None:
    with pytest.raises(OSError, match="cannot open"):
        one_strip(tiff, 3, 8)


def test_a_strip_that_is_shorter_than_asked_is_an_error() -> None:
    with pytest.raises(OSError, match="decoded"):
        one_strip(_saved(np.ones((5, 16), bool)), 6, 16)
