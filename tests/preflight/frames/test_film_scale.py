"""Factors of a film against its print, in words and figures."""

from __future__ import annotations

import pytest
from shapely.geometry import box

from preflight.frames.film_scale import FilmScale, scale_lines, scale_short


def test_areas_and_bounds_grow_about_the_middle_of_the_board() -> None:
    scale = FilmScale(1.002, 0.998)
    board = box(-100, -20, 300, 40)
    assert scale.grown(board).bounds == pytest.approx(scale.grown_bounds(board.bounds))
    assert scale.grown_bounds(board.bounds) == pytest.approx((-100.2, -19.96, 300.6, 39.92))
    assert scale.grown(board).area == pytest.approx(board.area * scale.area)
    assert FilmScale().grown(board) is board


def test_factors_are_told_in_percent_and_millimetres() -> None:
    assert scale_lines(FilmScale(1.0004, 0.9998), 1596.0, 314.0) == (
        "Film along: larger by 0.04 % (+0.64 mm over 1596.0 mm)",
        "Film across: smaller by 0.02 % (−0.06 mm over 314.0 mm)")
    assert scale_lines(FilmScale(1.002, 1.0), 1000.0, 300.0)[1] == \
        "Film across: as large as the print"
    assert scale_lines(FilmScale(), 1.0, 1.0) == ()
    assert (scale_short(FilmScale()), scale_short(FilmScale(1.002))) == (
        "1:1", "1.002 along, 1 across")
