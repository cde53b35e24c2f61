"""Marks of the pieces on a gang's film: numbers and ends, trim ticks and register crosses.

The film's own targets stand round all pieces. Each piece has, besides, ticks where its sheet is
trimmed and crosses of its own, as far as neighbours leave room: pieces that were cut apart are
registered by them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil

from separations.films.film_sheet import Box, FilmSheet
from separations.films.mark_extents import extent_of, grown, meet
from separations.films.marks import (
    GAP_MM,
    SMALL_TEXT_PT,
    TICK_MM,
    Shape,
    Words,
    marks_but_trim,
    stroke_px,
)
from separations.uses.gang.placed_pieces import PlacedPiece

_ENDS = ("NOSE", "TAIL")
#: Arms of a piece's register cross, its middle from the piece's image, and what it keeps free (mm).
CROSS_ARM_MM = 3.0
CROSS_OUT_MM = 4.5
_CLEAR_MM = 0.5
#: From one place tried for a cross to the next along the side (mm).
_STEP_MM = 8.0
#: Free film that a tick keeps from another piece, and its least length (mm).
_APART_MM, _LEAST_TICK_MM = 1.0, 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceMarks:
    """One piece's trim ticks, and its register crosses of two bars each."""

    ticks: tuple[Box, ...]
    crosses: tuple[tuple[Box, Box], ...]


def gang_marks(sheet: FilmSheet, pieces: Sequence[PlacedPiece]) -> tuple[Shape, ...]:
    """The film's marks, and those of each piece.

    Where a piece is turned, the film as a whole has no nose and no tail. Numbers stand in the
    free strip round all pieces, so that no other piece lies between: at either end of a piece
    that lies at that edge, else beside it, at its nose end.
    """
    return (*_film_marks(sheet, pieces),
            *(shape for own in piece_marks(sheet, pieces)
              for shape in (*own.ticks, *(bar for cross in own.crosses for bar in cross))))


def marks_between(sheet: FilmSheet, pieces: Sequence[PlacedPiece]) -> tuple[Box, ...]:
    """What of the pieces' marks lies in the gang's image, in its pixels: between the pieces.

    It is part of the film's bits, so that reading back compares it as it does the dots.
    """
    art = sheet.art_box
    bars = (bar for own in piece_marks(sheet, pieces)
            for bar in (*own.ticks, *(bar for cross in own.crosses for bar in cross)))
    cut = (Box(max(bar.left, art.left), max(bar.top, art.top), min(bar.right, art.right),
               min(bar.bottom, art.bottom)) for bar in bars if meet(bar, art))
    return tuple(Box(bar.left - art.left, bar.top - art.top, bar.right - art.left,
                     bar.bottom - art.top) for bar in cut)


def piece_marks(sheet: FilmSheet, pieces: Sequence[PlacedPiece]) -> tuple[PieceMarks, ...]:
    """Each piece's own marks, where they are clear of all images and of other marks."""
    images = [_image(sheet, piece) for piece in pieces]
    page = Box(0, 0, sheet.page_grid.columns, sheet.page_grid.rows)
    taken = [extent_of(sheet, shape) for shape in _film_marks(sheet, pieces)]
    ticks = [tuple(_ticks(sheet, piece, own, images))
             for piece, own in zip(pieces, images, strict=True)]
    clear = sheet.pixels(_CLEAR_MM)
    taken += [tick for own in ticks for tick in own]
    found = []
    for own, its in zip(images, ticks, strict=True):
        crosses = []
        for places in _sides(sheet, own):
            for cross in places:
                box = grown(Box(cross[1].left, cross[0].top, cross[1].right, cross[0].bottom),
                            clear)
                if (not any(meet(box, other) for other in (*images, *taken))
                        and page.left <= box.left and box.right <= page.right):
                    crosses.append(cross)
                    taken.append(box)
                    break
        found.append(PieceMarks(ticks=its, crosses=tuple(crosses)))
    return tuple(found)


def _film_marks(sheet: FilmSheet, pieces: Sequence[PlacedPiece]) -> tuple[Shape, ...]:
    turned = any(piece.table.is_turned for piece in pieces)
    kept = (shape for shape in marks_but_trim(sheet)
            if not (turned and isinstance(shape, Words) and shape.text in _ENDS))
    return (*kept, *(words for number, piece in enumerate(pieces)
                     for words in _of_piece(sheet, pieces, number, piece)))


def _image(sheet: FilmSheet, piece: PlacedPiece) -> Box:
    left, top = sheet.art_box.left + piece.place.column, sheet.art_box.top + piece.place.row
    grid = piece.sheet.art_grid
    return Box(left, top, left + grid.columns, top + grid.rows)


def _ticks(sheet: FilmSheet, piece: PlacedPiece, own: Box, images: Sequence[Box]
           ) -> Iterator[Box]:
    """Ticks at the ends and sides of a piece's trim, shorter where another piece lies near."""
    art, trim = sheet.art_box, piece.trim_on_gang
    others = [image for image in images if image != own]
    for row in (trim.top + art.top, trim.bottom + art.top):
        yield from _abreast(sheet, own, row, others)
    swapped = [_swapped(image) for image in others]
    for column in (trim.left + art.left, trim.right + art.left):
        for tick in _abreast(sheet, _swapped(own), column, swapped):
            yield _swapped(tick)


def _abreast(sheet: FilmSheet, own: Box, row: int, others: Sequence[Box]) -> Iterator[Box]:
    """A tick to the left and one to the right of a box, where they can be long enough."""
    gap, half = sheet.pixels(GAP_MM), stroke_px(sheet) // 2
    full, apart = sheet.pixels(TICK_MM), sheet.pixels(_APART_MM)
    left = Box(own.left - gap - full, row - half, own.left - gap, row + half)
    right = Box(own.right + gap, row - half, own.right + gap + full, row + half)
    for tick, is_left in ((left, True), (right, False)):
        near = [image for image in others if meet(grown(tick, apart), image)]
        cut = (tick._replace(left=max([tick.left, *(image.right + apart for image in near)]))
               if is_left else
               tick._replace(right=min([tick.right, *(image.left - apart for image in near)])))
        if cut.right - cut.left >= sheet.pixels(_LEAST_TICK_MM):
            yield cut


def _swapped(box: Box) -> Box:
    """The box with rows for columns."""
    return Box(box.top, box.left, box.bottom, box.right)


def _sides(sheet: FilmSheet, own: Box) -> Iterator[list[tuple[Box, Box]]]:
    """Crosses that would do at each side of a piece, the one nearest to its middle first."""
    out = sheet.pixels(CROSS_OUT_MM)
    for row in (own.top - out, own.bottom + out):
        yield [_cross(sheet, column, row) for column in _along(sheet, own.left, own.right)]
    for column in (own.left - out, own.right + out):
        yield [_cross(sheet, column, row) for row in _along(sheet, own.top, own.bottom)]


def _along(sheet: FilmSheet, first: int, end: int) -> list[int]:
    middle, step = (first + end) // 2, sheet.pixels(_STEP_MM)
    most = ceil((end - first) / 2 / step)
    return [middle, *(middle + sign * number * step for number in range(1, most)
                      for sign in (-1, 1))]


def _cross(sheet: FilmSheet, column: int, row: int) -> tuple[Box, Box]:
    arm, half = sheet.pixels(CROSS_ARM_MM), stroke_px(sheet) // 2
    return (Box(column - half, row - arm, column + half, row + arm),
            Box(column - arm, row - half, column + arm, row + half))


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
