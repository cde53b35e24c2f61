"""Shelves: pieces lie apart, within their room, in few shelves."""

from __future__ import annotations

from typing import Literal

from hypothesis import given
from hypothesis import strategies as st

from separations.uses.gang.gang_layout import (
    FilmRoom,
    PiecePlace,
    PieceSize,
    extent,
    lay_on_shelves,
    meeting,
)

SIZES = st.lists(st.builds(PieceSize, st.integers(8, 500), st.integers(8, 200)), min_size=1,
                 max_size=8).map(tuple)


@given(sizes=SIZES, lay=st.sampled_from(["across", "along"]))
def test_pieces_lie_apart_and_within_their_room(
        sizes: tuple[PieceSize, ...], lay: Literal["across", "along"]) -> None:
    room, gap = FilmRoom(900, 420), 16
    places = lay_on_shelves(sizes, room, gap, lay)
    if isinstance(places, int):
        assert 0 <= places < len(sizes)
        return
    assert meeting(sizes, places) is None
    fatter = tuple(PieceSize(size.rows + gap, size.columns + gap) for size in sizes)
    assert meeting(fatter, places) is None
    taken = extent(sizes, places)
    assert taken.rows <= room.rows
    assert taken.columns <= room.columns
    assert all(place.column % 8 == 0 for place in places)


def test_two_side_by_side_or_one_behind_the_other() -> None:
    sizes = (PieceSize(300, 100), PieceSize(300, 100))
    room = FilmRoom(1000, 1000)
    assert lay_on_shelves(sizes, room, 10, "across") == (PiecePlace(0, 0), PiecePlace(0, 112))
    assert lay_on_shelves(sizes, room, 10, "along") == (PiecePlace(0, 0), PiecePlace(310, 0))


def test_a_small_part_goes_beside_the_board_and_a_long_one_begins_a_shelf() -> None:
    sizes = (PieceSize(50, 40), PieceSize(300, 100), PieceSize(290, 100))
    assert lay_on_shelves(sizes, FilmRoom(1000, 160), 8, "across") == (
        PiecePlace(0, 112), PiecePlace(0, 0), PiecePlace(308, 0))


def test_a_piece_without_room_is_named() -> None:
    sizes = (PieceSize(50, 40), PieceSize(300, 100), PieceSize(50, 500))
    assert lay_on_shelves(sizes, FilmRoom(1000, 160), 8, "across") == 2
