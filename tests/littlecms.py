"""LittleCMS, the general colour engine that Pillow carries, on numbers of full precision.

Pillow's ImageCms works on pictures of 8 bits and four channels; the engine itself takes any number
of inks and doubles.
"""

from __future__ import annotations

import ctypes
from ctypes.util import find_library
from functools import lru_cache
from pathlib import Path

import numpy as np
import PIL
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

PERCEPTUAL, RELATIVE, SATURATION, ABSOLUTE = range(4)
#: Number of the engine's pixel type for each colour space: bits 16 to 20 of a format.
_PIXEL_TYPES = {"CMYK": 6, "Lab": 10, "2CLR": 16, "3CLR": 17, "4CLR": 18, "5CLR": 19, "6CLR": 20,
                "7CLR": 21, "8CLR": 22}
_COUNTS = {"CMYK": 4, "Lab": 3}
_NO_CACHE_NO_OPTIMISATION = 0x0040 | 0x0100


@lru_cache(maxsize=1)
def _engine() -> ctypes.CDLL | None:
    beside = sorted((Path(PIL.__file__).parent.parent / "pillow.libs").glob("liblcms2*"))
    name = str(beside[0]) if beside else find_library("lcms2")
    if name is None:
        return None
    engine = ctypes.CDLL(name)
    pointer, number = ctypes.c_void_p, ctypes.c_uint32
    for call, result, given in (
            ("cmsOpenProfileFromMem", pointer, [ctypes.c_char_p, number]),
            ("cmsCreateLab4Profile", pointer, [pointer]),
            ("cmsCreateTransform", pointer, [pointer, number, pointer, number, number, number]),
            ("cmsDoTransform", None, [pointer, pointer, pointer, number]),
            ("cmsDeleteTransform", None, [pointer]), ("cmsCloseProfile", ctypes.c_int, [pointer])):
        getattr(engine, call).restype, getattr(engine, call).argtypes = result, given
    return engine


def is_there() -> bool:
    """Whether the engine was found."""
    return _engine() is not None


def colours_of(profile: bytes, space: str, tones: FloatArray, intent: int) -> FloatArray:
    """Lab D50 of tones (N, k), 0 to 1."""
    return _through(profile, space, tones * _full(space), intent, to_lab=True)


def tones_of(profile: bytes, space: str, lab: FloatArray, intent: int) -> FloatArray:
    """Tones (N, k), 0 to 1, of Lab D50 (N, 3)."""
    return _through(profile, space, lab, intent, to_lab=False) / _full(space)


def _through(profile: bytes, space: str, values: FloatArray, intent: int, *, to_lab: bool
             ) -> FloatArray:
    engine = _engine()
    assert engine is not None
    device = engine.cmsOpenProfileFromMem(profile, len(profile))
    assert device, "LittleCMS refuses the profile"
    lab = engine.cmsCreateLab4Profile(None)
    formats = {"Lab": _format("Lab"), space: _format(space)}
    ends = ((device, formats[space]), (lab, formats["Lab"]))
    source, target = ends if to_lab else ends[::-1]
    transform = engine.cmsCreateTransform(*source, *target, intent, _NO_CACHE_NO_OPTIMISATION)
    assert transform, "LittleCMS makes no transform of the profile"
    given = np.ascontiguousarray(values, np.float64)
    found = np.empty((len(given), 3 if to_lab else _channels(space)))
    engine.cmsDoTransform(transform, given.ctypes.data, found.ctypes.data, len(given))
    engine.cmsDeleteTransform(transform)
    engine.cmsCloseProfile(device)
    engine.cmsCloseProfile(lab)
    return found


def _channels(space: str) -> int:
    return _COUNTS.get(space) or int(space[0])


def _full(space: str) -> float:
    """What full tone is in doubles: 100 in spaces that the engine knows for inks, else 1."""
    return 100.0 if space == "CMYK" or int(space[0]) > 4 else 1.0


def _format(space: str) -> int:
    """Doubles of a colour space, as the engine numbers formats."""
    return 1 << 22 | _PIXEL_TYPES[space] << 16 | _channels(space) << 3
