"""One ink's dots of all pieces on their shared film, each screened by itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from separations.films.film_sheet import FilmSheet
from separations.films.marks import SMALL_TEXT_PT, Shape, Words, marks
from separations.films.page_bits import flipped_rows
from separations.halftone.film_content import LaidDots
from separations.halftone.screening import Prepared, screen_region
from separations.uses.gang.gang_layout import PiecePlace
from separations.uses.gang.placed_pieces import PlacedPiece

_ENDS = ("NOSE", "TAIL")


def gang_marks(sheet: FilmSheet, pieces: Sequence[PlacedPiece]) -> tuple[Shape, ...]:
    """The film's marks, and beside each piece its number and which of its ends lies there.

    Where a piece is turned, the film as a whole has no nose and no tail. Numbers stand in the
    free strip round all pieces, so that no other piece lies between: at either end of a piece
    that lies at that edge, else beside it, at its nose end.
    """
    turned = any(piece.table.is_turned for piece in pieces)
    kept = (shape for shape in marks(sheet)
            if not (turned and isinstance(shape, Words) and shape.text in _ENDS))
    return (*kept, *(words for number, piece in enumerate(pieces)
                     for words in _of_piece(sheet, pieces, number, piece)))


def _of_piece(sheet: FilmSheet, pieces: Sequence[PlacedPiece], number: int,
              piece: PlacedPiece) -> list[Words]:
    art, place, grid = sheet.art_box, piece.place, piece.sheet.art_grid
    others = [p for k, p in enumerate(pieces) if k != number]
    middle = art.left + place.column + grid.columns // 2
    upper, lower = ("tail", "nose") if piece.table.is_turned else ("nose", "tail")
    abreast = [p for p in others if p.place.column < place.column + grid.columns
               and place.column < p.place.column + p.sheet.art_grid.columns]
    found = []
    if all(p.place.row > place.row for p in abreast):
        found.append(Words(column=middle, row=art.top - sheet.pixels(0.4),
                           size_pt=SMALL_TEXT_PT, text=f"{number + 1} {upper}", align="centre"))
    if all(p.place.row < place.row for p in abreast):
        found.append(Words(column=middle, row=art.bottom + sheet.pixels(2.0),
                           size_pt=SMALL_TEXT_PT, text=f"{number + 1} {lower}", align="centre"))
    if found:
        return found
    row = art.top + place.row + (grid.rows - sheet.pixels(1.0) if piece.table.is_turned
                                 else sheet.pixels(3.0))
    on_left = all(p.place.column > place.column for p in others if p not in abreast)
    column = art.left - sheet.pixels(0.4) if on_left else art.right + sheet.pixels(0.4)
    return [Words(column=column, row=row, size_pt=SMALL_TEXT_PT, text=f"{number + 1}",
                  align="right" if on_left else "left")]


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
