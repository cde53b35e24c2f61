"""The gang film's marks: which piece is which, and which way each lies."""

from __future__ import annotations

from collections.abc import Sequence

from separations.films.film_sheet import FilmSheet
from separations.films.marks import SMALL_TEXT_PT, Shape, Words, marks
from separations.gang.placed_pieces import PlacedPiece

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
