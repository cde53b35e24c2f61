"""The bytes of an ICC profile: header, tags and the pipelines of curves and tables in them."""

from __future__ import annotations

import datetime
import hashlib
import struct
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

_HEADER_BYTES = 128
_D50_FIXED = (0.9642, 1.0, 0.8249)
_TOP = 65535
#: Colour spaces by number of inks where they are not the four process inks. Source: ICC.1:2010,
#: table 19.
_SPACES = {count: f"{count}CLR" for count in range(2, 10)}
_NAME_BYTES = 32
#: Least L*, a*, b* that a table holds, and how far they reach from there. Source: ICC.1:2010,
#: 6.3.4.2.
_LEAST_LAB: FloatArray = np.array([0.0, -128.0, -128.0])
_LAB_RANGE: FloatArray = np.array([100.0, 255.0, 255.0])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pipeline:
    """Curves before a table, the table, and curves behind it.

    Attributes
    ----------
    before : ndarray, shape (inputs, T), float64
        Sampled curves, 0 to 1 in and out.
    table : ndarray, shape (g, ..., g, outputs), float64
        Values 0 to 1 at evenly spaced nodes; one leading axis for each input, the first varies
        slowest.
    behind : ndarray, shape (outputs, T), float64
        Sampled curves, 0 to 1 in and out.
    """

    before: FloatArray
    table: FloatArray
    behind: FloatArray


def profile_bytes(*, space: str, created: datetime.date, tags: Sequence[tuple[str, bytes]]
                  ) -> bytes:
    """A whole output profile of version 4.

    Parameters
    ----------
    space : str
        Colour space of the device, four letters.
    created : datetime.date
        Told as its creation, so that the same job makes the same bytes.
    tags : sequence of (str, bytes)
        Signature and content of each; equal contents are stored once.

    Notes
    -----
    Source: ICC.1:2010 (ISO 15076-1), clauses 7.2 and 7.3; the profile's identity is the MD5 of
    all bytes with flags, rendering intent and identity nought, 7.2.18.
    """
    start = _HEADER_BYTES + 4 + 12 * len(tags)
    places: dict[bytes, int] = {}
    body, rows = bytearray(), []
    for signature, content in tags:
        if content not in places:
            body += bytes(-(start + len(body)) % 4)
            places[content] = start + len(body)
            body += content
        rows.append(struct.pack(">4sII", signature.encode(), places[content], len(content)))
    body += bytes(-(start + len(body)) % 4)
    size = start + len(body)
    date = struct.pack(">6H", created.year, created.month, created.day, 0, 0, 0)
    header = (struct.pack(">I4x4s4s4s4s", size, b"\x04\x40\x00\x00", b"prtr", space.encode(),
                          b"Lab ") + date + b"acsp" + bytes(28) + _fixed(_D50_FIXED))
    header += bytes(_HEADER_BYTES - len(header))
    rest = struct.pack(">I", len(tags)) + b"".join(rows) + bytes(body)
    identity = hashlib.md5(header + rest, usedforsecurity=False).digest()
    return header[:84] + identity + header[100:] + rest


def device_space(ink_count: int, *, is_process: bool) -> str:
    """The colour space of so many inks; ``is_process`` tells the four process inks alone."""
    return "CMYK" if is_process else _SPACES[ink_count]


def text_tag(text: str) -> bytes:
    """A multiLocalizedUnicodeType with one record, of English."""
    coded = text.encode("utf-16-be")
    return b"mluc" + struct.pack(">4xII2s2sII", 1, 12, b"en", b"GB", len(coded), 28) + coded


def xyz_tag(xyz: FloatArray) -> bytes:
    """An XYZType of one colour, Y = 1 for the perfect diffuser."""
    return b"XYZ " + bytes(4) + _fixed(xyz)


def colorant_tag(names: Sequence[str], lab: FloatArray) -> bytes:
    """A colorantTableType: the inks' names (ASCII) and their relative Lab, shape (k, 3)."""
    rows = b""
    for name, colour in zip(names, encoded_lab(lab), strict=True):
        plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore") or b"ink"
        rows += plain[:_NAME_BYTES - 1].ljust(_NAME_BYTES, b"\0") + _words(colour)
    return b"clrt" + struct.pack(">4xI", len(names)) + rows


def colorant_order_tag(order: Sequence[int]) -> bytes:
    """A colorantOrderType: channels, from 0, in the order that they are printed."""
    return b"clro" + struct.pack(">4xI", len(order)) + bytes(order)


def to_colour_tag(pipeline: Pipeline) -> bytes:
    """A lutAToBType: device curves, table, colour curves."""
    return _pipeline_tag(b"mAB ", pipeline, colour=pipeline.behind, device=pipeline.before)


def to_device_tag(pipeline: Pipeline) -> bytes:
    """A lutBToAType: colour curves, table, device curves."""
    return _pipeline_tag(b"mBA ", pipeline, colour=pipeline.before, device=pipeline.behind)


def encoded_lab(lab: FloatArray) -> FloatArray:
    """Lab as shares 0 to 1 of the profile's range: L* 0 to 100, a* and b* -128 to 127."""
    return np.asarray(np.clip((np.asarray(lab, np.float64) - _LEAST_LAB) / _LAB_RANGE, 0.0, 1.0))


def decoded_lab(shares: FloatArray) -> FloatArray:
    """Undoes `encoded_lab`."""
    return np.asarray(np.asarray(shares, np.float64) * _LAB_RANGE + _LEAST_LAB)


def _pipeline_tag(kind: bytes, pipeline: Pipeline, *, colour: FloatArray, device: FloatArray
                  ) -> bytes:
    inputs, outputs = len(pipeline.before), len(pipeline.behind)
    curves_of_colour = b"".join(_curve(curve) for curve in colour)
    curves_of_device = b"".join(_curve(curve) for curve in device)
    grid = bytes(pipeline.table.shape[:-1]).ljust(16, b"\0")
    table = grid + b"\2\0\0\0" + _words(pipeline.table)
    table += bytes(-len(table) % 4)
    at_colour = 32
    at_table = at_colour + len(curves_of_colour)
    at_device = at_table + len(table)
    head = kind + struct.pack(">4xBB2x5I", inputs, outputs, at_colour, 0, 0, at_table, at_device)
    return head + curves_of_colour + table + curves_of_device


def _curve(curve: FloatArray) -> bytes:
    """A curveType; one that changes nothing has no entries."""
    if np.allclose(curve, np.linspace(0.0, 1.0, len(curve)), atol=0.25 / _TOP):
        return b"curv" + bytes(8)
    coded = b"curv" + struct.pack(">4xI", len(curve)) + _words(curve)
    return coded + bytes(-len(coded) % 4)


def _words(shares: FloatArray) -> bytes:
    return np.rint(np.clip(shares, 0.0, 1.0) * _TOP).astype(">u2").tobytes()


def _fixed(values: Sequence[float] | FloatArray) -> bytes:
    return np.rint(np.asarray(values, np.float64) * 65536.0).astype(">i4").tobytes()
