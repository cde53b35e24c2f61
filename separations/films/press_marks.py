"""The press strip at the nose: marks for film, stencil and press.

All films of a job have the strip in the same place, outside the image and its other marks.
"""

from __future__ import annotations

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
    WEDGE_PERCENT,
    Shape,
    Words,
    wedge_box,
)
from separations.films.wrapped_text import PLAIN_FONT

#: Free film at the strip's sides, and between its fields (mm).
ASIDE_MM = 5.0
_BETWEEN_MM = 3.0
_LABEL_MM = 6.0
#: Height of the bar under steps of the wedge whose dots are thinned (mm).
_THINNED_MM = 0.6


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


def strip_room_mm(art_width_mm: float) -> float:
    """Width of the strip (mm) beside an image so wide on the film."""
    return art_width_mm + 2 * SIDE_MARGIN_MM - 2 * ASIDE_MM


def strip_mm(marks: PressMarks, room_mm: float) -> float:
    """How much of the film's length the strip takes (mm); 0 where no mark of it is wanted."""
    return _laid(marks, room_mm)[1]


def _fields(marks: PressMarks, room_mm: float) -> list[MarkField]:
    made = {"turn": [turn_field()], "density": [density_field()],
            "resolution": [resolution_field()], "exposure": [exposure_field()],
            "vernier": [vernier_field(order) for order in range(2, marks.inks + 1)],
            "overprints": [overprint_field(marks.inks, room_mm)] if marks.inks > 1 else []}
    return [field for name, fields in made.items() if name in marks.names for field in fields]


def _laid(marks: PressMarks, room_mm: float
          ) -> tuple[list[tuple[MarkField, float, float]], float]:
    """Fields with their places from the strip's upper left corner (mm), and the strip's height."""
    laid: list[tuple[MarkField, float, float]] = []
    x, y, high = 0.0, 0.0, 0.0
    for field in _fields(marks, room_mm):
        if x > 0 and x + field.wide_mm > room_mm:
            x, y, high = 0.0, y + high + _BETWEEN_MM, 0.0
        laid.append((field, x, y))
        x, high = x + field.wide_mm + _BETWEEN_MM, max(high, field.high_mm)
    end = y + high + _BETWEEN_MM if laid else 0.0
    return laid, end + (_LABEL_MM if "nose label" in marks.names else 0.0)


def press_shapes(sheet: FilmSheet, marks: PressMarks, film: FilmOfJob,
                 nose_label: str) -> tuple[Shape, ...]:
    """A film's marks of the press strip.

    Parameters
    ----------
    sheet : FilmSheet
        Laid out with ``strip_mm`` of room.
    marks : PressMarks
        Which of them.
    film : FilmOfJob
        Which film it is.
    nose_label : str
        What the line at the nose says; shortened where it is too long.
    """
    art_mm = (sheet.art_box.right - sheet.art_box.left) * sheet.page_grid.pixel_mm
    left = sheet.pixels(ASIDE_MM)
    shapes: list[Shape] = []
    if sheet.strip_mm > 0:
        room_mm = strip_room_mm(art_mm)
        top = sheet.art_box.top - sheet.pixels(NOSE_MARGIN_MM) - sheet.pixels(sheet.strip_mm)
        for field, x, y in _laid(marks, room_mm)[0]:
            corner = Corner(sheet=sheet, left=left + round(x / sheet.page_grid.pixel_mm),
                            top=top + round((y + 2.0) / sheet.page_grid.pixel_mm))
            shapes += field.draw(corner, film)
        if "nose label" in marks.names:
            text = printable(nose_label, PLAIN_FONT)
            width_pt = room_mm / sheet.page_grid.pixel_mm * sheet.point_per_pixel
            shapes.append(Words(
                column=left, row=sheet.art_box.top - sheet.pixels(NOSE_MARGIN_MM + 0.5),
                size_pt=END_TEXT_PT, text=shortened(
                    LabelLine(text, font_for(text, PLAIN_FONT), END_TEXT_PT), width_pt)))
    return tuple(shapes)


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
