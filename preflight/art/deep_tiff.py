"""Pixels of TIFFs that others misread or leave: floating point, planes, turned 16 bits."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preflight.art.opened_image import quiet_opencv
from preflight.art.tiff_page import TiffPage
from preflight.art.tiff_unpacking import (
    FLOAT_DIFFERENCES,
    PIECE_PIXELS,
    UNPACKED,
    blocks_of,
)
from preflight.files.regular_files import open_regular
from preflight.input_problem import InputProblem

#: How ways of packing are called that are not unpacked.
_PACKINGS = {7: "JPEG", 34712: "JPEG 2000", 34887: "LERC", 34925: "LZMA", 50000: "Zstandard",
             50001: "WebP", 50002: "JPEG XL"}
_NUMBERS = {"whole": "whole numbers", "signed": "signed whole numbers",
            "float": "floating point", "other": "numbers of another kind"}
_MOST_SAMPLES = 16
#: What floating point may overshoot 0 to 1 by, and on what share of the pixels it may overshoot by
#: more and is cut off. Own rule: sharpening leaves specks, high dynamic range leaves areas.
_OVERSHOOT, _SPECKS = 0.01, 0.001
_WOULD_DO = "a TIFF of 8 or 16 bits a channel"


def need_readable(path: Path, page: TiffPage) -> None:
    """Refuse a page whose pixels `deep_pixels` would not read as they are meant.

    Raises
    ------
    InputProblem
        Naming the kind of pixels that was found.
    """
    bits = {"whole": (16,), "float": (16, 32, 64)}.get(page.kind, ())
    found = ""
    if page.bits not in bits:
        depth = f"{page.bits}-bit " if page.bits else ""
        found = f"a TIFF of {depth}{_NUMBERS[page.kind]}"
    elif page.photometric not in {0, 1, 2}:
        found = f"a TIFF of {page.bits}-bit {_NUMBERS[page.kind]} that are neither grey nor RGB"
    elif page.compression not in UNPACKED:
        packing = _PACKINGS.get(page.compression, f"compression {page.compression}")
        found = f"a TIFF of {page.bits}-bit {_NUMBERS[page.kind]} packed by {packing}"
    elif page.fill_order != 1 or page.predictor not in {1, 2, 3} or not (
            page.colours <= page.samples <= _MOST_SAMPLES):
        found = "a TIFF whose channels are of a kind that is not read"
    elif page.predictor == FLOAT_DIFFERENCES and (page.kind != "float" or page.bits == 16 or (
            not page.planar and page.samples not in {1, 3, 4})):
        found = "a TIFF whose floating point predictor is of a kind that is not read"
    elif page.kind == "float" and page.profile is None:
        found = ("a TIFF of floating point without a colour profile, whose numbers may be linear "
                 "light or not")
    if found:
        raise InputProblem(where=str(path), found=found, would_do=_WOULD_DO + (
            ", or one with its profile embedded," if "without" in found else ""))


def deep_pixels(path: Path, page: TiffPage, *, linear: bool, tolerant: bool) -> NDArray[np.uint16]:
    """A page's pixels as they are stored, not turned.

    Parameters
    ----------
    path : Path
        The file.
    page : TiffPage
        What `need_readable` let pass.
    linear : bool
        Numbers are linear light and come out in sRGB's curve (IEC 61966-2-1), which keeps the
        steps in shadows as small as the eye asks.
    tolerant : bool
        Parts that cannot be unpacked stay black instead of being refused.

    Returns
    -------
    NDArray of uint16, shape (rows, columns, channels)
        Grey or BGR, and straight alpha where there is some; black is 0, white 65535.

    Raises
    ------
    InputProblem
        When pixels cannot be decoded, or floating point goes beyond 0 to 1.
    """
    pixels = np.zeros((page.rows, page.columns, page.colours + (page.alpha != "none")), np.uint16)
    beyond = _Beyond()
    with open_regular(path, would_do="a picture") as stream, quiet_opencv():
        for row, column, block in blocks_of(path, stream, page, tolerant):
            for first in range(0, len(block), step := max(1, PIECE_PIXELS // block.shape[1])):
                piece = block[first:first + step]
                pixels[row + first:row + first + len(piece), column:column + piece.shape[1]] = (
                    _levels(piece, page, linear, beyond))
    if page.kind == "float":
        beyond.refuse(path, page.rows * page.columns)
    return pixels


def _levels(block: NDArray[Any], page: TiffPage, linear: bool, beyond: _Beyond
            ) -> NDArray[np.uint16]:
    """A piece's numbers as 16 bits, in OpenCV's order of channels."""
    block = block[:, :, :page.colours + (page.alpha != "none")]
    levels = (_of_floats(block, page, linear, beyond) if page.kind == "float"
              else _of_whole(block, page))
    if page.photometric == 0:
        levels[:, :, 0] = 65535 - levels[:, :, 0]
    return levels[:, :, [2, 1, 0, 3][:levels.shape[2]]] if page.colours == 3 else levels


def _of_whole(block: NDArray[Any], page: TiffPage) -> NDArray[np.uint16]:
    levels = block.astype(np.uint16)
    if page.alpha == "premultiplied":
        alpha = np.maximum(levels[:, :, -1:], 1).astype(np.uint32)
        straight = (levels[:, :, :-1] * np.uint32(65535) + alpha // 2) // alpha
        levels[:, :, :-1] = np.minimum(straight, 65535)
    return levels


def _of_floats(block: NDArray[Any], page: TiffPage, linear: bool, beyond: _Beyond
               ) -> NDArray[np.uint16]:
    with np.errstate(all="ignore"):
        values = block.astype(np.float32)
    beyond.look(values)
    values = np.clip(np.nan_to_num(values), 0, 1)
    colours = values[:, :, :page.colours]
    if page.alpha == "premultiplied":
        colours /= np.maximum(values[:, :, -1:], 1e-6)
        np.clip(colours, 0, 1, out=colours)
    if linear:
        colours[:] = np.where(colours <= 0.0031308, 12.92 * colours,
                              1.055 * colours ** np.float32(1 / 2.4) - 0.055)
    return np.asarray(values * 65535 + 0.5, np.uint16)


@dataclass(slots=True)
class _Beyond:
    """What of floating point goes beyond black and white."""

    pixels: int = 0
    least: float = 0.0
    most: float = 1.0
    no_numbers: bool = False

    def look(self, values: NDArray[np.float32]) -> None:
        """Count a piece's pixels that do."""
        sound = np.isfinite(values)
        self.no_numbers |= not bool(sound.all())
        far = ~((values >= -_OVERSHOOT) & (values <= 1 + _OVERSHOOT)).all(axis=2)
        self.pixels += int(far.sum())
        if far.any():
            finite = values[sound]
            self.least = min(self.least, float(finite.min(initial=0)))
            self.most = max(self.most, float(finite.max(initial=1)))

    def refuse(self, path: Path, pixels: int) -> None:
        """Refuse what holds no numbers, or is beyond over more than specks."""
        if self.no_numbers:
            raise InputProblem(
                where=str(path), found="floating point that is infinite or not a number in places",
                would_do="numbers from 0 (black) to 1 (white)")
        if self.pixels > _SPECKS * pixels:
            raise InputProblem(
                where=str(path),
                found=f"floating point from {self.least:.3g} to {self.most:.3g}, beyond black or "
                      f"white on {100 * self.pixels / pixels:.2g} % of the picture",
                would_do="numbers from 0 (black) to 1 (white)")
