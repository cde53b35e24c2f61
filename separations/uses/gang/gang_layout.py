"""Where pieces lie on a shared film, in film pixels.

Rule (shelf packing): the longest piece first (the widest, where shelves run along); each goes to
the first shelf that has room for it, else a new shelf begins. Shelves run across the film, pieces
side by side, or along it.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

#: Columns begin on whole bytes, so that pieces' dots are laid without shifting bits.
_STEP = 8


class PieceSize(NamedTuple):
    """Rows and columns of a piece's image in film pixels."""

    rows: int
    columns: int


class PiecePlace(NamedTuple):
    """The film row and column of its upper left pixel; the column is a multiple of 8."""

    row: int
    column: int


class FilmRoom(NamedTuple):
    """Rows and columns that the pieces together may take."""

    rows: int
    columns: int


class _Shelf(NamedTuple):
    """Where it begins, how deep it is, and where on it the next piece goes."""

    start: int
    depth: int
    free_from: int


def lay_on_shelves(sizes: tuple[PieceSize, ...], room: FilmRoom, gap: int,
                   lay: Literal["across", "along"]) -> tuple[PiecePlace, ...] | int:
    """Lay the pieces out.

    Parameters
    ----------
    sizes : tuple of PieceSize
        The pieces.
    room : FilmRoom
        What they may take.
    gap : int
        Least film pixels between them.
    lay : str
        Whether shelves run ``across`` the film or ``along`` it.

    Returns
    -------
    tuple of PiecePlace, or int
        In the order of the sizes; or the number (from 0) of the first piece without room.
    """
    is_across = lay == "across"
    shelves: list[_Shelf] = []
    places: dict[int, PiecePlace] = {}
    most_on, most_deep = (room.columns, room.rows) if is_across else room
    turned = [size if is_across else PieceSize(size.columns, size.rows) for size in sizes]
    for number in sorted(range(len(sizes)), key=lambda n: -turned[n].rows):
        deep, on = turned[number]
        index = next((k for k, shelf in enumerate(shelves)
                      if deep <= shelf.depth and shelf.free_from + on <= most_on), len(shelves))
        if index == len(shelves):
            end = shelves[-1].start + shelves[-1].depth + gap if shelves else 0
            shelves.append(_Shelf(end if is_across else _whole(end), deep, 0))
            if shelves[index].start + deep > most_deep or on > most_on:
                return number
        shelf = shelves[index]
        next_free = shelf.free_from + on + gap
        shelves[index] = shelf._replace(free_from=_whole(next_free) if is_across else next_free)
        places[number] = (PiecePlace(shelf.start, shelf.free_from) if is_across
                          else PiecePlace(shelf.free_from, shelf.start))
    return tuple(places[number] for number in range(len(sizes)))


def extent(sizes: tuple[PieceSize, ...], places: tuple[PiecePlace, ...]) -> FilmRoom:
    """Rows and columns that placed pieces take, from the film's corner on."""
    return FilmRoom(
        max(place.row + size.rows for size, place in zip(sizes, places, strict=True)),
        max(place.column + size.columns for size, place in zip(sizes, places, strict=True)))


def meeting(sizes: tuple[PieceSize, ...],
            places: tuple[PiecePlace, ...]) -> tuple[int, int] | None:
    """Numbers (from 0) of the first two pieces whose boxes meet; ``None`` where none do."""
    for second in range(len(sizes)):
        for first in range(second):
            (a, b), (p, q) = (sizes[first], sizes[second]), (places[first], places[second])
            if (p.row < q.row + b.rows and q.row < p.row + a.rows
                    and p.column < q.column + b.columns and q.column < p.column + a.columns):
                return first, second
    return None


def whole_bytes(column: int) -> int:
    """The multiple of 8 nearest to a film column."""
    return round(column / _STEP) * _STEP


def _whole(column: int) -> int:
    return -(-column // _STEP) * _STEP
