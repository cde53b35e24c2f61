"""Targets where a register bar's pins or tape tabs hold film and screen."""

from __future__ import annotations

from preflight.frames.film_scale import Bounds
from preflight.input_problem import InputProblem
from separations.films.film_sheet import Box, FilmSheet
from separations.films.mark_extents import extent_of, meet
from separations.films.mark_fields import FilmOfJob
from separations.films.marks import STROKE_MM, Ring, Shape, label_box, marks, wedge_box
from separations.films.press_marks import PressMarks, press_shapes

#: A pin's ring (mm): the hole of common register pins, 6.35 mm (from memory, unverified).
PIN_MM = 6.35
PIN_ARM_MM = 6.0
#: Film beyond a pin's cross (mm).
_ROUND_MM = 4.0


def pin_reach_mm(press: PressMarks) -> Bounds | None:
    """Bounds of what the film must hold for its pins (board mm); None without any."""
    if not press.pins_mm:
        return None
    along, across = zip(*press.pins_mm, strict=True)
    reach = PIN_ARM_MM + _ROUND_MM
    return min(along) - reach, min(across) - reach, max(along) + reach, max(across) + reach


def pin_shapes(sheet: FilmSheet, x_mm: float, y_mm: float) -> tuple[Box, Box, Ring]:
    """A cross in a ring where a pin goes (board mm)."""
    row, column = sheet.row(x_mm * sheet.scale.along), sheet.column(y_mm * sheet.scale.across)
    arm, half = sheet.pixels(PIN_ARM_MM), max(1, sheet.pixels(STROKE_MM) // 2)
    return (Box(column - half, row - arm, column + half, row + arm),
            Box(column - arm, row - half, column + arm, row + half),
            Ring(column=column, row=row, radius=sheet.pixels(PIN_MM / 2), stroke=2 * half))


def check_pins(sheet: FilmSheet, where: str, press: PressMarks) -> None:
    """Refuse pins in the image or on other marks; ``where`` is the key that tells them.

    Raises
    ------
    InputProblem
        With a place that would do.
    """
    if not press.pins_mm:
        return
    shapes: list[Shape] = [*marks(sheet)]
    for order in range(1, press.inks + 1):
        shapes += press_shapes(sheet, press, FilmOfJob(order=order, count=press.inks), ("NOSE",))
    if sheet.strip_parts_mm:
        wedge = wedge_box(sheet)  # each panel has one, in its own middle
        shapes.append(wedge._replace(left=0, right=sheet.page_grid.columns))
    taken = [sheet.art_box, wedge_box(sheet), label_box(sheet),
             *(extent_of(sheet, shape) for shape in shapes)]
    for number, (x_mm, y_mm) in enumerate(press.pins_mm, 1):
        cross = pin_shapes(sheet, x_mm, y_mm)
        own = Box(cross[1].left, cross[0].top, cross[1].right, cross[0].bottom)
        if any(meet(own, other) for other in taken):
            beyond_mm = (sheet.art_grid.top_x_mm + sheet.strip_mm + 40.0) / sheet.scale.along
            raise InputProblem(
                where=f"{where}[{number}]",
                found="a pin in the image or on another mark",
                would_do=f"a place such as [\"{beyond_mm:.0f} mm\", \"0 mm\"], beyond the nose,")
