"""Numbers beside pieces: at the film's edge, at the end that lies there."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from separations.films.film_sheet import FilmSheet, film_sheet
from separations.films.marks import Words
from separations.uses.gang.gang_layout import PiecePlace
from separations.uses.gang.piece_dots import gang_marks


def _sheet(rows: int, columns: int) -> FilmSheet:
    mm = 25.4 / 254
    return film_sheet((-rows * mm / 2, -columns * mm / 2, rows * mm / 2, columns * mm / 2),
                      (-10.0, -10.0, 10.0, 10.0), 254.0)


def _piece(row: int, column: int, *, turned: bool = False) -> Any:
    return SimpleNamespace(table=SimpleNamespace(is_turned=turned), place=PiecePlace(row, column),
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
