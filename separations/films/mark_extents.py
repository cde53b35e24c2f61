"""How much room marks take on a sheet, and whether two boxes meet."""

from __future__ import annotations

from separations.films.film_sheet import Box, FilmSheet
from separations.films.marks import Ring, Shape, Words
from separations.films.wrapped_text import PLAIN_FONT, register_fonts, text_width_pt


def extent_of(sheet: FilmSheet, shape: Shape) -> Box:
    """The box that a mark takes, in page pixels."""
    if isinstance(shape, Box):
        return shape
    if isinstance(shape, Ring):
        out = shape.radius + shape.stroke
        return Box(shape.column - out, shape.row - out, shape.column + out, shape.row + out)
    high = round(shape.size_pt / sheet.point_per_pixel)
    wide = _wide(sheet, shape)
    left = shape.column - {"left": 0, "centre": wide // 2, "right": wide}[shape.align]
    return Box(left, shape.row - high, left + wide, shape.row)


def meet(one: Box, other: Box) -> bool:
    """Whether two boxes share a pixel."""
    return (one.left < other.right and other.left < one.right
            and one.top < other.bottom and other.top < one.bottom)


def grown(box: Box, by: int) -> Box:
    """The box with so many pixels round it."""
    return Box(box.left - by, box.top - by, box.right + by, box.bottom + by)


def _wide(sheet: FilmSheet, words: Words) -> int:
    register_fonts()
    return round(text_width_pt(words.text, PLAIN_FONT, words.size_pt) / sheet.point_per_pixel)
