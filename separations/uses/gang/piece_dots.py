"""One ink's dots of all pieces on their shared film, each screened by itself."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from separations.films.film_sheet import Box
from separations.films.page_bits import flipped_rows
from separations.halftone.film_content import LaidDots
from separations.halftone.screening import Prepared, screen_region
from separations.uses.gang.gang_layout import PiecePlace


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlacedDots:
    """A piece's dots, where they lie, and whether they are turned half round."""

    dots: Prepared
    place: PiecePlace
    is_turned: bool

    def rows(self, first_row: int, end_row: int) -> NDArray[np.uint8]:
        """Packed rows of the piece as it lies, counted from its own upper edge."""
        if not self.is_turned:
            return screen_region(self.dots, first_row, end_row)
        grid = self.dots.content.film_grid
        straight = screen_region(self.dots, grid.rows - end_row, grid.rows - first_row)
        return np.ascontiguousarray(flipped_rows(straight, grid.columns)[::-1])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GangDots(LaidDots):
    """All pieces' dots, and marks between them; else the film is clear.

    Attributes
    ----------
    pieces : tuple of PlacedDots
        As they lie.
    marks : tuple of Box
        Bars between the pieces, in pixels of the image.
    """

    pieces: tuple[PlacedDots, ...]
    marks: tuple[Box, ...] = ()

    def region(self, first_row: int, end_row: int, first_column: int,
               end_column: int) -> NDArray[np.uint8]:
        """The pieces' rows laid into whole bytes."""
        width = end_column - first_column
        packed = np.zeros((end_row - first_row, (width + 7) // 8), np.uint8)
        first_byte = first_column // 8
        for piece in self.pieces:
            top, grid = piece.place.row, piece.dots.content.film_grid
            first, end = max(first_row, top), min(end_row, top + grid.rows)
            left = piece.place.column // 8 - first_byte
            right = left + (grid.columns + 7) // 8
            if first >= end or right <= 0 or left >= packed.shape[1]:
                continue
            rows = piece.rows(first - top, end - top)
            rows = rows[:, max(0, -left):rows.shape[1] - max(0, right - packed.shape[1])]
            packed[first - first_row:end - first_row,
                   max(0, left):max(0, left) + rows.shape[1]] |= rows
        for bar in self.marks:
            top, bottom = (min(max(row - first_row, 0), len(packed))
                           for row in (bar.top, bar.bottom))
            inked = np.zeros(width, np.uint8)
            inked[max(0, bar.left - first_column):max(0, bar.right - first_column)] = 1
            packed[top:bottom] |= np.packbits(inked)
        if width % 8:
            packed[:, -1] &= np.uint8(0xFF << (8 - width % 8) & 0xFF)
        return packed
