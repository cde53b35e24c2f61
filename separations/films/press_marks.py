"""The press strip at the nose: marks for film, stencil and press.

All films of a job have the strip in the same place, outside the image and its other marks.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from preflight.job_file.job import Job
from preflight.job_file.job_values import PRESS_MARKS
from separations.films.film_label import LabelLine, font_for, printable, shortened
from separations.films.film_sheet import NOSE_MARGIN_MM, SIDE_MARGIN_MM, Box, FilmSheet
from separations.films.mark_fields import (
    Corner,
    FilmOfJob,
    MarkField,
    density_field,
    exposure_field,
    overprint_field,
    resolution_field,
    turn_field,
    vernier_field,
)
from separations.films.marks import (
    END_TEXT_PT,
    SMALL_TEXT_PT,
    WEDGE_PERCENT,
    Shape,
    Words,
    wedge_box,
)
from separations.films.wrapped_text import PLAIN_FONT

#: Free film at the strip's sides, and between its fields (mm).
ASIDE_MM = 5.0
_BETWEEN_MM = 3.0
#: The line at the nose, and each of the smaller lines below it (mm).
_LABEL_MM, _LABEL_LINE_MM = 6.0, 2.6
#: Lines of set-up below the line at the nose.
_SET_UP_LINES = 2
#: Height of the bar under steps of the wedge whose dots are thinned (mm).
_THINNED_MM = 0.6
#: Widths that differ by no more are the same (mm).
_SAME_MM = 1e-6

#: Stretches of the film's width for the strip's fields, from and to (mm).
Parts = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PressMarks:
    """Which marks a job's films have besides targets, rules and wedge.

    Attributes
    ----------
    names : tuple of str
        Of `preflight.job_file.job_values.PRESS_MARKS`.
    inks : int
        How many films there are.
    pins_mm : tuple of (float, float)
        Where pins hold film and screen, in board mm.
    """

    names: tuple[str, ...] = ()
    inks: int = 1
    pins_mm: tuple[tuple[float, float], ...] = ()


def press_marks_of(job: Job) -> PressMarks:
    """Those that a job's films have, where they fit."""
    names = PRESS_MARKS if job.film.marks is None else job.film.marks
    return PressMarks(names=names, inks=len(job.ink),
                      pins_mm=tuple((x.mm, y.mm) for x, y in job.frame.pins))


def strip_parts(sheet: FilmSheet) -> Parts:
    """Stretches of a sheet's width for the strip's fields, from and to.

    In mm from `ASIDE_MM` beside the page's left edge on.
    """
    if sheet.strip_parts_mm:
        ends_mm = sheet.page_width_mm - 2 * ASIDE_MM
        return tuple((max(0.0, first - ASIDE_MM), min(ends_mm, end - ASIDE_MM))
                     for first, end in sheet.strip_parts_mm)
    art_mm = (sheet.art_box.right - sheet.art_box.left) * sheet.page_grid.pixel_mm
    return ((0.0, art_mm + 2 * SIDE_MARGIN_MM - 2 * ASIDE_MM),)


def strip_mm(marks: PressMarks, parts: Parts) -> float:
    """How much of the film's length the strip takes (mm); 0 where no mark of it is wanted."""
    return _laid(marks, parts)[1]


def too_wide(marks: PressMarks, parts: Parts) -> tuple[str, ...]:
    """Names of the marks that are left out, since none of the parts is as wide as they are."""
    room_mm = _widest(parts)
    return tuple(name for name, fields in _wanted(marks, room_mm).items()
                 if any(field.wide_mm > room_mm for field in fields))


def _widest(parts: Parts) -> float:
    return max(end - first for first, end in parts)


def _wanted(marks: PressMarks, room_mm: float) -> dict[str, list[MarkField]]:
    """The fields of each mark that is asked for."""
    made = {"turn": [turn_field()], "density": [density_field()],
            "resolution": [resolution_field()], "exposure": [exposure_field()],
            "vernier": [vernier_field(order) for order in range(2, marks.inks + 1)],
            "overprints": [overprint_field(marks.inks, room_mm)] if marks.inks > 1 else []}
    return {name: fields for name, fields in made.items() if name in marks.names}


def _laid(marks: PressMarks, parts: Parts
          ) -> tuple[list[tuple[MarkField, float, float]], float]:
    """Fields with their places from the strip's upper left corner (mm), and the strip's height."""
    room_mm = _widest(parts)
    laid: list[tuple[MarkField, float, float]] = []
    part, (x, end), y, high = 0, parts[0], 0.0, 0.0
    for field in (each for fields in _wanted(marks, room_mm).values() for each in fields):
        if field.wide_mm > room_mm:
            continue
        while x + field.wide_mm > end + _SAME_MM:
            part += 1
            if part == len(parts):
                part, y, high = 0, y + high + _BETWEEN_MM, 0.0
            x, end = parts[part]
        laid.append((field, x, y))
        x, high = x + field.wide_mm + _BETWEEN_MM, max(high, field.high_mm)
    foot = y + high + _BETWEEN_MM if laid else 0.0
    label_mm = _LABEL_MM + _SET_UP_LINES * _LABEL_LINE_MM
    return laid, foot + (label_mm if "nose label" in marks.names else 0.0)


def press_shapes(sheet: FilmSheet, marks: PressMarks, film: FilmOfJob,
                 nose_label: tuple[str, ...]) -> tuple[Shape, ...]:
    """A film's marks of the press strip.

    Parameters
    ----------
    sheet : FilmSheet
        Laid out with ``strip_mm`` of room.
    marks : PressMarks
        Which of them.
    film : FilmOfJob
        Which film it is.
    nose_label : tuple of str
        What the lines at the nose say, the first in larger letters; shortened where they are too
        long. Each part of the strip has them.
    """
    left = sheet.pixels(ASIDE_MM)
    shapes: list[Shape] = []
    if sheet.strip_mm > 0:
        parts = strip_parts(sheet)
        top = sheet.art_box.top - sheet.pixels(NOSE_MARGIN_MM) - sheet.pixels(sheet.strip_mm)
        for field, x, y in _laid(marks, parts)[0]:
            corner = Corner(sheet=sheet, left=left + round(x / sheet.page_grid.pixel_mm),
                            top=top + round((y + 2.0) / sheet.page_grid.pixel_mm))
            shapes += field.draw(corner, film)
        if "nose label" in marks.names:
            for first, end in parts:
                shapes += _nose_words(sheet, left + round(first / sheet.page_grid.pixel_mm),
                                      end - first, nose_label)
    return tuple(shapes)


def _nose_words(sheet: FilmSheet, left: int, wide_mm: float,
                lines: tuple[str, ...]) -> Iterator[Words]:
    """The lines at the nose, beginning at a column and no wider than so many mm."""
    width_pt = wide_mm / sheet.page_grid.pixel_mm * sheet.point_per_pixel
    for number, line in enumerate(lines[:1 + _SET_UP_LINES]):
        size_pt = SMALL_TEXT_PT if number else END_TEXT_PT
        text = printable(line, PLAIN_FONT)
        up_mm = NOSE_MARGIN_MM + 0.5 + (_SET_UP_LINES - number) * _LABEL_LINE_MM
        yield Words(column=left, row=sheet.art_box.top - sheet.pixels(up_mm), size_pt=size_pt,
                    text=shortened(LabelLine(text, font_for(text, PLAIN_FONT), size_pt),
                                   width_pt))


def thinned_bars(sheet: FilmSheet, smallest: float, largest: float) -> tuple[Shape, ...]:
    """Bars under those steps of the wedge whose dots or holes are thinned.

    Parameters
    ----------
    sheet : FilmSheet
        The sheet.
    smallest, largest : float
        The film's tone ends (0 to 1).
    """
    box = wedge_box(sheet)
    step = (box.right - box.left) // len(WEDGE_PERCENT)
    top, high = box.bottom + sheet.pixels(0.4), sheet.pixels(_THINNED_MM)
    return tuple(Box(box.left + k * step, top, box.left + (k + 1) * step, top + high)
                 for k, percent in enumerate(WEDGE_PERCENT)
                 if percent < smallest * 100 or 100 * largest < percent < 100)
