"""Strips and tiles of a TIFF's page, unpacked one after the other.

Each is handed to OpenCV's libtiff as a small TIFF of its own, so that unpacking and taking back
differences are the library's work, and planes, tiles and pages are put together here. OpenCV itself
takes planes of 16 bits and more for pixels, one channel behind the other.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from pathlib import Path
from typing import Any, BinaryIO

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.art.embedded_colour import IMAGE_FAULTS
from preflight.art.opened_image import broken_picture
from preflight.art.tiff_page import TiffPage

#: Ways of packing (TIFF's compression) that are unpacked: none, LZW, deflate, PackBits.
PLAIN = 1
UNPACKED = {PLAIN, 5, 8, 32946, 32773}
_NO_PREDICTOR, DIFFERENCES, FLOAT_DIFFERENCES = 1, 2, 3
#: So many pixels are taken at a time.
PIECE_PIXELS = 2**20
#: A part may be larger than a small picture, as tiles are.
_LEAST_PART_PIXELS = 2**24
#: Room for the tags of a part that do not fit into their table.
_ROOM = 32


def blocks_of(path: Path, stream: BinaryIO, page: TiffPage, tolerant: bool
            ) -> Iterator[tuple[int, int, NDArray[Any]]]:
    """A picture's pieces: row and column of each, and all its samples.

    Parameters
    ----------
    path : Path
        The file, for faults.
    stream : BinaryIO
        The same, opened.
    page : TiffPage
        Its page.
    tolerant : bool
        Whether parts that cannot be unpacked are left out.

    Raises
    ------
    InputProblem
        When one cannot be unpacked.
    """
    wide, tall = page.part_columns, page.part_rows
    if min(wide, tall) < 1 or wide * tall > max(4 * page.rows * page.columns, _LEAST_PART_PIXELS):
        raise broken_picture(path, ValueError("its strips or tiles have no size that makes sense"))
    across = -(-page.columns // wide)
    for place in range(across * -(-page.rows // tall)):
        row, column = place // across * tall, place % across * wide
        rows = tall if page.tiled else min(tall, page.rows - row)
        step = max(1, PIECE_PIXELS // wide) if page.compression == PLAIN else rows
        for first in range(0, min(rows, page.rows - row), step):
            end = min(first + step, rows)
            try:
                block = _samples(stream, page, place, (first, end), rows)
            except (cv2.error, *IMAGE_FAULTS) as fault:
                if tolerant:
                    continue
                raise broken_picture(path, fault) from None
            yield row + first, column, block[:page.rows - row - first, :page.columns - column]


def _samples(stream: BinaryIO, page: TiffPage, place: int, between: tuple[int, int], rows: int
             ) -> NDArray[Any]:
    """Some rows of a strip or tile, shape (rows, part columns, samples)."""
    if not page.planar:
        return _part(stream, page, place, between, rows, page.samples)
    parts = len(page.offsets) // page.samples
    planes = [_part(stream, page, plane * parts + place, between, rows, 1)
              for plane in range(page.samples)]
    return np.concatenate(planes, axis=2)


def _part(stream: BinaryIO, page: TiffPage, number: int, between: tuple[int, int], rows: int,
          samples: int) -> NDArray[Any]:
    kind = np.dtype(page.order + ("f" if page.kind == "float" else "u") + str(page.bits // 8))
    shape = (between[1] - between[0], page.part_columns, samples)
    if page.compression == PLAIN:
        row_bytes = page.part_columns * samples * kind.itemsize
        stream.seek(page.offsets[number] + between[0] * row_bytes)
        return np.frombuffer(stream.read(shape[0] * row_bytes), kind).reshape(shape)
    stream.seek(page.offsets[number])
    packed = stream.read(page.lengths[number])
    if samples in {1, 3, 4} and not (page.kind == "float" and page.bits == 16):
        return _unpacked(page, packed, rows, page.part_columns, samples).reshape(shape)
    flat = _unpacked(page, packed, rows, page.part_columns * samples, 0)
    numbers = flat.view(f"u{page.bits // 8}").reshape(shape)
    if page.predictor == DIFFERENCES:
        numbers = np.add.accumulate(numbers, axis=1, dtype=numbers.dtype)
    return numbers.view(kind.newbyteorder("="))


def _unpacked(page: TiffPage, packed: bytes, rows: int, columns: int, samples: int
              ) -> NDArray[Any]:
    """A part as a TIFF of its own, read; its differences only taken back for told samples."""
    count = max(samples, 1)
    is_float = page.kind == "float" and page.bits != 16
    fields: list[tuple[int, str, list[int]]] = [
        (256, "I", [columns]), (257, "I", [rows]), (258, "H", [page.bits] * count),
        (259, "H", [page.compression]), (262, "H", [2 if count > 1 else 1]), (273, "I", [0]),
        (277, "H", [count]), (278, "I", [rows]), (279, "I", [len(packed)]), (284, "H", [1]),
        (317, "H", [page.predictor if samples else _NO_PREDICTOR]),
        *([(338, "H", [2])] if count == 4 else []),
        (339, "H", [3 if is_float else 1] * count)]
    behind = 8 + 2 + 12 * len(fields) + 4
    table, more = struct.pack(page.order + "H", len(fields)), b""
    for tag, form, values in fields:
        raw = struct.pack(f"{page.order}{len(values)}{form}", *values)
        if tag == 273:
            raw = struct.pack(page.order + "I", behind + _ROOM)
        if len(raw) > 4:
            raw, more = struct.pack(page.order + "I", behind + len(more)), more + raw
        table += struct.pack(page.order + "HHI", tag, {"H": 3, "I": 4}[form], len(values))
        table += raw.ljust(4, b"\0")
    head = (b"II" if page.order == "<" else b"MM") + struct.pack(page.order + "HI", 42, 8)
    whole = head + table + bytes(4) + more.ljust(_ROOM, b"\0") + packed
    read = cv2.imdecode(np.frombuffer(whole, np.uint8), cv2.IMREAD_UNCHANGED)
    if read is None or read.shape[:2] != (rows, columns) or read.size != rows * columns * count:
        raise ValueError("part of its pixels cannot be unpacked")
    pixels: NDArray[Any] = read.reshape(rows, columns, count)
    return pixels[:, :, [2, 1, 0, 3][:count]] if count > 1 else pixels
