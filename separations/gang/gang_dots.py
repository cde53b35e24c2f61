"""One ink's dots of all pieces on their shared film, each screened by itself."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from separations.films.page_bits import flipped_rows
from separations.gang.gang_layout import PiecePlace
from separations.halftone.laid_dots import LaidDots
from separations.halftone.screening import Prepared, screen_region


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
    """All pieces' dots; where none lies the film is clear."""

    pieces: tuple[PlacedDots, ...]

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
        if width % 8:
            packed[:, -1] &= np.uint8(0xFF << (8 - width % 8) & 0xFF)
        return packed
