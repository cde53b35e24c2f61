"""Numbers beside pieces: at the film's edge, at the end that lies there."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from separations.films.film_sheet import Box, FilmSheet, film_sheet
from separations.films.mark_extents import meet
from separations.films.marks import Words
from separations.uses.gang.gang_layout import PiecePlace
from separations.uses.gang.piece_marks import gang_marks, piece_marks


def _sheet(rows: int, columns: int) -> FilmSheet:
    mm = 25.4 / 254
    return film_sheet((-rows * mm / 2, -columns * mm / 2, rows * mm / 2, columns * mm / 2),
                      (-10.0, -10.0, 10.0, 10.0), 254.0)


def _piece(row: int, column: int, *, turned: bool = False) -> Any:
    return SimpleNamespace(table=SimpleNamespace(is_turned=turned), place=PiecePlace(row, column),
                           trim_on_gang=Box(column + 50, row + 50, column + 350, row + 350),
                           sheet=SimpleNamespace(art_grid=SimpleNamespace(rows=400, columns=400)))


def _words(*pieces: Any, rows: int, columns: int) -> list[str]:
    sheet = _sheet(rows, columns)
    return [shape.text for shape in gang_marks(sheet, pieces) if isinstance(shape, Words)
            and ((shape.text[0].isdigit() and "mm" not in shape.text and shape.size_pt == 6.0
                 and (shape.row < sheet.art_box.bottom + sheet.pixels(3.0)))
                 or shape.text in ("NOSE", "TAIL"))]


def test_ends_are_told_for_each_piece_where_one_is_turned() -> None:
    assert _words(_piece(0, 0), _piece(0, 480, turned=True), rows=400, columns=880) == [
        "1 nose", "1 tail", "2 tail", "2 nose"]


def test_the_whole_film_has_ends_where_none_is_turned() -> None:
    assert _words(_piece(0, 0), rows=400, columns=400) == ["NOSE", "TAIL", "1 nose", "1 tail"]


def test_a_piece_between_others_is_told_at_the_side() -> None:
    assert _words(_piece(0, 0), _piece(480, 0), _piece(960, 0), rows=1360, columns=400) == [
        "NOSE", "TAIL", "1 nose", "2", "3 tail"]


def _images(sheet: FilmSheet, *pieces: Any) -> list[Box]:
    top, left = sheet.art_box.top, sheet.art_box.left
    return [Box(left + p.place.column, top + p.place.row, left + p.place.column + 400,
                top + p.place.row + 400) for p in pieces]


def test_each_piece_has_trim_ticks_and_crosses_clear_of_every_image() -> None:
    pieces = [_piece(0, 0), _piece(0, 504), _piece(504, 0, turned=True)]
    sheet = _sheet(904, 904)
    images = _images(sheet, *pieces)
    found = piece_marks(sheet, pieces)
    # The rule along takes the whole left side of so short a piece.
    assert [(len(own.ticks), len(own.crosses)) for own in found] == [(8, 3), (8, 4), (8, 4)]
    for own, image in zip(found, images, strict=True):
        bars = [bar for cross in own.crosses for bar in cross]
        assert not any(meet(mark, other) for mark in (*own.ticks, *bars) for other in images)
        level = [tick for tick in own.ticks if tick.right - tick.left > tick.bottom - tick.top]
        assert sorted({(t.top + t.bottom) // 2 - image.top for t in level}) == [50, 350]
        upright = [tick for tick in own.ticks if tick not in level]
        assert sorted({(t.left + t.right) // 2 - image.left for t in upright}) == [50, 350]
    every = [Box(c[1].left, c[0].top, c[1].right, c[0].bottom) for own in found
             for c in own.crosses]
    assert not any(meet(a, b) for k, a in enumerate(every) for b in every[:k])


def test_ticks_are_shorter_where_a_neighbour_is_near_and_crosses_left_out() -> None:
    near = [_piece(0, 0), _piece(0, 456)]  # 5.6 mm apart
    sheet = _sheet(400, 856)
    first = piece_marks(sheet, near)[0]
    beside = [tick for tick in first.ticks
              if tick.left > sheet.art_box.left + 400 and tick.right - tick.left > 5]
    assert [tick.right - tick.left for tick in beside] == [56 - 25 - 10] * 2
    assert len(first.crosses) == 3
    close = [_piece(0, 0), _piece(0, 432)]
    assert len(piece_marks(_sheet(400, 832), close)[0].ticks) == 6
