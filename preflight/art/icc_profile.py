"""ICC profiles of the simple kind, read exactly: three primaries, or grey, with tone curves.

Field layouts are those of ICC.1 (the profile header of 128 bytes, the tag table behind it, the
types ``XYZ``, ``curv`` and ``para``). Source: ICC.1:2022 as commonly described in open readers;
clause numbers from memory, unverified. The tests hold the results against another reader.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

#: The profile connection space's white (X, Y, Z). Source: ICC.1, D50 as s15Fixed16 rounds it.
D50_XYZ = (0.9642, 1.0, 0.8249)

_LUT_TAGS = {b"A2B0", b"A2B1", b"A2B2", b"D2B0", b"D2B1", b"D2B2", b"D2B3"}
_PICTURE_CLASSES = {b"mntr", b"scnr", b"prtr", b"spac"}


class ProfileFault(ValueError):
    """The bytes are no sound profile for pictures."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToneCurve:
    """Encoded value (0 to 1) to linear light (0 to 1).

    Attributes
    ----------
    table : tuple of float
        Evenly spaced values, joined by straight lines; empty when the formula holds.
    formula : tuple of 7 float
        g, a, b, c, d, e, f of (a x + b)^g + e from x = d on, c x + f below.
    """

    table: tuple[float, ...] = ()
    formula: tuple[float, float, float, float, float, float, float] = (1, 1, 0, 0, 0, 0, 0)

    @property
    def is_linear(self) -> bool:
        """Whether it changes nothing."""
        steps = np.linspace(0.0, 1.0, 33)
        return bool(np.allclose(self.linear(steps), steps, rtol=0, atol=1e-4))

    def linear(self, encoded: NDArray[np.float64]) -> NDArray[np.float64]:
        """Linear light of encoded values of any shape; values beyond 0 to 1 are clipped."""
        x = np.clip(encoded, 0.0, 1.0)
        if self.table:
            return np.interp(x, np.linspace(0.0, 1.0, len(self.table)), self.table)
        g, a, b, c, d, e, f = self.formula
        with np.errstate(all="ignore"):  # a damaged profile's figures
            light = np.where(x >= d, np.maximum(a * x + b, 0.0) ** g + e, c * x + f)
        return np.clip(np.where(np.isnan(light), 0.0, light), 0.0, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class IccProfile:
    """What one needs to know of a profile.

    Attributes
    ----------
    space : str
        Colour space of the picture, e.g. ``"RGB"``, ``"GRAY"``, ``"CMYK"``, ``"Lab"``.
    lightness_scale : bool
        A grey profile whose curve gives L* / 100 and not linear light.
    matrix : tuple of 3 tuples of 3 float, or None
        Linear RGB to XYZ (D50), row by row; None for grey.
    curves : tuple of ToneCurve
        Three (red, green, blue) or one (grey); empty when the profile works by tables, which
        only a colour management module can apply.
    """

    space: str
    lightness_scale: bool = False
    matrix: tuple[tuple[float, ...], ...] | None = None
    curves: tuple[ToneCurve, ...] = ()


def read_profile(raw: bytes) -> IccProfile:
    """Read an embedded profile.

    Raises
    ------
    ProfileFault
        When it is cut short, malformed, or not meant for pictures.
    """
    try:
        return _read(raw)
    except (struct.error, IndexError, OverflowError, ZeroDivisionError) as fault:
        raise ProfileFault("the profile is cut short or malformed") from fault


def _read(raw: bytes) -> IccProfile:
    if raw[36:40] != b"acsp" or raw[12:16] not in _PICTURE_CLASSES:
        raise ProfileFault("no profile for pictures")
    space = raw[16:20].decode("latin-1").strip()
    connection = raw[20:24]
    (count,) = struct.unpack_from(">I", raw, 128)
    if count > 200:
        raise ProfileFault("too many tags")
    tags: dict[bytes, bytes] = {}
    for tag in range(count):
        name, start, size = struct.unpack_from(">4sII", raw, 132 + 12 * tag)
        if start + size > len(raw) + 3:  # some writers count the padding of the last tag
            raise ProfileFault("a tag lies outside the profile")
        tags[name] = raw[start:start + size]
    if space == "GRAY" and b"kTRC" in tags and not _LUT_TAGS & tags.keys():
        return IccProfile(space=space, lightness_scale=connection == b"Lab ",
                          curves=(_curve(tags[b"kTRC"]),))
    needed = [tag for channel in (b"r", b"g", b"b") for tag in (channel + b"XYZ", channel + b"TRC")]
    if (space == "RGB" and connection == b"XYZ " and not _LUT_TAGS & tags.keys()
            and all(tag in tags for tag in needed)):
        columns = [_xyz(tags[tag]) for tag in (b"rXYZ", b"gXYZ", b"bXYZ")]
        return IccProfile(space=space, matrix=tuple(zip(*columns, strict=True)),
                          curves=tuple(_curve(tags[tag]) for tag in (b"rTRC", b"gTRC", b"bTRC")))
    return IccProfile(space=space)


def _xyz(tag: bytes) -> tuple[float, ...]:
    if tag[:4] != b"XYZ ":
        raise ProfileFault("a primary is not of the type XYZ")
    return tuple(value / 65536.0 for value in struct.unpack_from(">3i", tag, 8))


def _curve(tag: bytes) -> ToneCurve:
    if tag[:4] == b"curv":
        (count,) = struct.unpack_from(">I", tag, 8)
        if count == 0:
            return ToneCurve()
        if count == 1:
            return ToneCurve(formula=(struct.unpack_from(">H", tag, 12)[0] / 256, 1, 0, 0, 0, 0, 0))
        values = struct.unpack_from(f">{min(count, 70_000)}H", tag, 12)
        return ToneCurve(table=tuple(value / 65535.0 for value in values))
    if tag[:4] == b"para":
        (kind,) = struct.unpack_from(">H", tag, 8)
        if kind > 4:
            raise ProfileFault("a tone curve of no known kind")
        values = struct.unpack_from(f">{(1, 3, 4, 5, 7)[kind]}i", tag, 12)
        return ToneCurve(formula=_formula(kind, [value / 65536.0 for value in values]))
    raise ProfileFault("a tone curve of no known type")


def _formula(kind: int, p: list[float]
             ) -> tuple[float, float, float, float, float, float, float]:
    """A parametric curve of kind 0 to 4 as g, a, b, c, d, e, f."""
    if kind == 0:
        return (p[0], 1.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    if kind == 1:
        return (p[0], p[1], p[2], 0.0, -p[2] / p[1], 0.0, 0.0)
    if kind == 2:
        return (p[0], p[1], p[2], 0.0, -p[2] / p[1], p[3], p[3])
    if kind == 3:
        return (p[0], p[1], p[2], p[3], p[4], 0.0, 0.0)
    return (p[0], p[1], p[2], p[3], p[4], p[5], p[6])
