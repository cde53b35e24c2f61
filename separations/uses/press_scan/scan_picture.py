"""A picture of the printed sheet: its levels as stored, and what they mean as linear light."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preflight.art.artwork import open_artwork
from preflight.art.artwork_pixels import Pixels, load_pixels
from preflight.files.regular_files import open_regular
from preflight.input_problem import InputProblem
from separations.uses.press_scan.sharpening import unsharpened

#: First bytes of pictures. Sources: the formats' own specifications.
_BEGINNINGS = (b"\x89PNG", b"\xff\xd8\xff", b"II*\0", b"MM\0*", b"II+\0", b"MM\0+", b"RIFF", b"BM",
               b"GIF8", b"8BPS", b"\0\0\0\x0cjP  ")
_LOSSY = ("JPEG", "MPO", "WEBP", "AVIF", "JPEG2000")
#: Larger pictures hold no more of the sheet, and take memory. Own rule.
MOST_PIXELS = 120_000_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ScanPicture:
    """A picture, upright as it is looked at.

    Attributes
    ----------
    path : Path
        The file.
    levels : ndarray, shape (rows, columns, 3), uint8 or uint16
        As stored.
    light : ndarray, shape (3, 65536), float32
        Linear light (0 to 1) of levels told with 16 bits, for red, green and blue.
    colour_told : str
        What tells the light: the profile's name, or that sRGB was assumed.
    lossy : bool
        Whether its format keeps less of colours than of lightness, as JPEG does.
    sharpened : float
        How much sharpening is to be undone.
    """

    path: Path
    levels: Pixels
    light: NDArray[np.float32]
    colour_told: str
    lossy: bool
    sharpened: float = 0.0

    @property
    def top(self) -> int:
        """The greatest level."""
        return 255 if self.levels.dtype == np.uint8 else 65535

    def eight_bits(self, channel: int) -> NDArray[np.uint8]:
        """One channel with 8 bits, for finding marks."""
        plane = self.levels[:, :, channel]
        return np.ascontiguousarray(plane if plane.dtype == np.uint8 else plane >> 8, np.uint8)

    def linear(self, rows: slice, columns: slice) -> NDArray[np.float32]:
        """Linear light of a part, shape (rows, columns, 3)."""
        coded = unsharpened(self.coded(rows, columns), self.sharpened)
        part = np.rint(np.clip(coded, 0.0, 1.0) * 65535).astype(np.uint16)
        return np.stack([self.light[channel][part[:, :, channel]] for channel in range(3)], axis=2)

    def coded(self, rows: slice, columns: slice) -> NDArray[np.float32]:
        """Levels of a part as stored, 0 to 1, shape (rows, columns, 3)."""
        return np.asarray(self.levels[rows, columns] / np.float32(self.top), np.float32)


def is_picture(path: Path) -> bool:
    """Whether a file is a picture, readable or not, rather than a list of readings.

    Raises
    ------
    InputProblem
        When there is no such file.
    """
    with open_regular(path, would_do="a list of readings or a picture of the sheet") as file:
        head = file.read(16)
    return head.startswith(_BEGINNINGS) or head[4:8] == b"ftyp"


def open_scan(path: Path) -> ScanPicture:
    """Read a picture of the sheet.

    Raises
    ------
    InputProblem
        When it is no picture, damaged, too large, or not in red, green and blue.
    """
    art = open_artwork(path)
    if art.width_px * art.height_px > MOST_PIXELS:
        raise InputProblem(
            where=str(path), found=f"{art.width_px} × {art.height_px} pixels",
            would_do=f"a scan of the sheet alone at 300 to 600 ppi, up to "
                     f"{MOST_PIXELS // 1_000_000} megapixels,")
    if art.is_grey or art.mode in {"CMYK", "LAB"}:
        raise InputProblem(where=str(path), found="a picture that is not in red, green and blue",
                           would_do="a scan in colour, since each ink is read in the colour of "
                                    "light in which it shows best,")
    loaded = load_pixels(art)
    levels: Any = _upright(loaded.band(0, loaded.rows)[:, :, :3], art.orientation)
    steps = np.linspace(0.0, 1.0, 65536)
    light = np.stack([curve.linear(steps) for curve in art.colour.curves]).astype(np.float32)
    told = art.colour.name + (", assumed" if art.colour.assumed else "")
    return ScanPicture(path=path, levels=np.ascontiguousarray(levels), light=light,
                       colour_told=told, lossy=art.form in _LOSSY)


def _upright(stored: Pixels, orientation: int) -> Pixels:
    """Pixels by their EXIF orientation (1 to 8)."""
    turned = stored.transpose(1, 0, 2) if orientation >= 5 else stored
    down = orientation in {3, 4, 7, 8}
    across = orientation in {2, 3, 6, 7}
    return turned[::-1 if down else 1, ::-1 if across else 1]
