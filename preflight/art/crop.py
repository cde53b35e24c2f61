"""What is kept of a picture: parts cut off at its sides, before it is laid on the board."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Crop:
    """Parts of a picture that are cut off, as shares of its width and height.

    Attributes
    ----------
    left, right, top, bottom : float
        Shares, 0 to below 1, of the picture as it is looked at.
    """

    left: float = 0.0
    right: float = 0.0
    top: float = 0.0
    bottom: float = 0.0

    def kept(self, width_px: int, height_px: int) -> KeptPixels | None:
        """The pixels that are left of a picture, on whole pixels; None for all of them."""
        kept = KeptPixels(
            first_column=_whole(width_px * self.left), first_row=_whole(height_px * self.top),
            end_column=width_px - _whole(width_px * self.right),
            end_row=height_px - _whole(height_px * self.bottom),
            whole_width=width_px, whole_height=height_px)
        return None if (kept.width, kept.height) == (width_px, height_px) else kept


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptPixels:
    """A part of a picture's pixels, as the picture is looked at.

    Attributes
    ----------
    first_column, first_row, end_column, end_row : int
        What is kept; the ends are the first that are not.
    whole_width, whole_height : int
        The picture's own size.
    """

    first_column: int
    first_row: int
    end_column: int
    end_row: int
    whole_width: int
    whole_height: int

    @property
    def width(self) -> int:
        """Columns kept."""
        return self.end_column - self.first_column

    @property
    def height(self) -> int:
        """Rows kept."""
        return self.end_row - self.first_row

    def stored(self, orientation: int) -> tuple[slice, slice]:
        """Rows and columns of the pixels as they are stored, by the camera's orientation 1 to 8."""
        matrix = stored_matrix(orientation, self.whole_width, self.whole_height)
        corners = np.array([[self.first_column, self.first_row, 1],
                            [self.end_column, self.end_row, 1]]) @ matrix.T
        (first_column, first_row), (end_column, end_row) = np.sort(corners, axis=0).astype(int)
        return slice(int(first_row), int(end_row)), slice(int(first_column), int(end_column))


#: Nothing cut off.
WHOLE = Crop()


def stored_matrix(orientation: int, width_px: float, height_px: float) -> NDArray[np.float64]:
    """The 2 × 3 matrix from pixel coordinates (u, v, 1) to stored (column, row).

    Parameters
    ----------
    orientation : int
        1 to 8, as EXIF has it.
    width_px, height_px : float
        The picture's size as it is looked at.

    Notes
    -----
    Source: Exif 2.32 (CIPA DC-008), tag 0x0112.
    """
    w, h = float(width_px), float(height_px)
    return np.array({
        1: ((1, 0, 0), (0, 1, 0)), 2: ((-1, 0, w), (0, 1, 0)),
        3: ((-1, 0, w), (0, -1, h)), 4: ((1, 0, 0), (0, -1, h)),
        5: ((0, 1, 0), (1, 0, 0)), 6: ((0, 1, 0), (-1, 0, w)),
        7: ((0, -1, h), (-1, 0, w)), 8: ((0, -1, h), (1, 0, 0)),
    }[orientation], dtype=np.float64)


def _whole(pixels: float) -> int:
    """The nearest whole number, halves upwards."""
    return math.floor(pixels + 0.5)
