"""libtiff as Pillow brings it, asked for packed rows: Pillow itself spreads every bit to a byte.

Where its library file is not found, the same rows come through Pillow, more slowly.
"""

from __future__ import annotations

import ctypes
import ctypes.util
import os
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import PIL
from numpy.typing import NDArray
from PIL import Image, features

_Place = ctypes.c_void_p
_Size = ctypes.c_uint64
# Types of the functions that TIFFClientOpen takes (libtiff's manual, TIFFOpen(3tiff)).
_Transfer = ctypes.CFUNCTYPE(ctypes.c_ssize_t, _Place, _Place, ctypes.c_ssize_t)
_Seek = ctypes.CFUNCTYPE(_Size, _Place, _Size, ctypes.c_int)
_Close = ctypes.CFUNCTYPE(ctypes.c_int, _Place)
_Length = ctypes.CFUNCTYPE(_Size, _Place)
_Map = ctypes.CFUNCTYPE(ctypes.c_int, _Place, ctypes.POINTER(_Place), ctypes.POINTER(_Size))
_Unmap = ctypes.CFUNCTYPE(None, _Place, _Place, _Size)


def one_strip(tiff: bytes, rows: int, columns: int) -> NDArray[np.uint8]:
    """Decode a 1-bit TIFF of one strip.

    Returns
    -------
    NDArray of uint8, shape (rows, ceil(columns / 8))
        1 where libtiff has a set bit, leftmost pixel in the highest bit; past ``columns`` clear.

    Raises
    ------
    OSError
        When the file cannot be decoded.
    """
    library = _library()
    if library is None:
        return through_pillow(tiff)
    packed = np.empty((rows, (columns + 7) // 8), np.uint8)
    functions = _in_memory(tiff)
    opened = library.TIFFClientOpen(b"strip", b"r", None, *functions)
    if not opened:
        raise OSError("libtiff cannot open the strip")
    try:
        decoded = library.TIFFReadEncodedStrip(opened, 0, packed.ctypes.data, packed.nbytes)
    finally:
        library.TIFFClose(opened)
    if decoded != packed.nbytes:
        raise OSError(f"libtiff decoded {decoded} of {packed.nbytes} bytes")
    if columns % 8:
        packed[:, -1] &= 0xFF << (8 - columns % 8) & 0xFF
    return packed


def through_pillow(tiff: bytes) -> NDArray[np.uint8]:
    """Decode a 1-bit TIFF by Pillow; like `one_strip`."""
    with Image.open(BytesIO(tiff)) as picture:
        return np.packbits(np.asarray(picture), axis=1)


@cache
def _library() -> Any:
    """libtiff's functions, or nothing where no library of Pillow's version is found."""
    for file in _files():
        try:
            library = ctypes.CDLL(file)
            library.TIFFGetVersion.restype = ctypes.c_char_p
            if str(features.version("libtiff")).encode() not in library.TIFFGetVersion():
                continue
            library.TIFFClientOpen.restype = _Place
            library.TIFFClientOpen.argtypes = [
                ctypes.c_char_p, ctypes.c_char_p, _Place, _Transfer, _Transfer, _Seek, _Close,
                _Length, _Map, _Unmap]
            library.TIFFReadEncodedStrip.restype = ctypes.c_ssize_t
            library.TIFFReadEncodedStrip.argtypes = [
                _Place, ctypes.c_uint32, _Place, ctypes.c_ssize_t]
            library.TIFFClose.restype, library.TIFFClose.argtypes = None, [_Place]
        except (OSError, AttributeError):
            continue
        return library
    return None


def _files() -> list[str]:
    """Where the library may lie: beside Pillow, or where the system keeps its own."""
    package = Path(PIL.__file__).parent
    beside = [*(package.parent / "pillow.libs").glob("libtiff*"),
              *(package / ".dylibs").glob("libtiff*")]
    found = ctypes.util.find_library("tiff") if os.name == "posix" and not beside else None
    return [*map(str, sorted(beside)), *([found] if found else [])]


def _in_memory(tiff: bytes) -> tuple[Any, ...]:
    """What libtiff calls to find a file in memory: it reads its head and maps the rest."""
    place = ctypes.cast(ctypes.c_char_p(tiff), _Place).value or 0
    at = 0

    def read(_: Any, target: int, size: int) -> int:
        nonlocal at
        size = max(0, min(size, len(tiff) - at))
        ctypes.memmove(target, place + at, size)
        at += size
        return size

    def seek(_: Any, offset: int, whence: int) -> int:
        nonlocal at
        at = offset + (0, at, len(tiff))[whence]
        return at

    def lend(_: Any, base: Any, size: Any) -> int:
        base[0], size[0] = place, len(tiff)
        return 1

    return (_Transfer(read), _Transfer(lambda *_: -1), _Seek(seek), _Close(lambda _: 0),
            _Length(lambda _: len(tiff)), _Map(lend), _Unmap(lambda *_: None))
