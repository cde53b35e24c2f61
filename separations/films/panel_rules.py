"""A panel's own check rules, whole, so that each panel can be measured before it is spliced."""

from __future__ import annotations

from itertools import pairwise

from separations.films.film_sheet import Box, FilmSheet
from separations.films.marks import (
    GAP_MM,
    RULE_MM,
    SMALL_TEXT_PT,
    STROKE_MM,
    Shape,
    Words,
    wedge_box,
)

#: What the rule across takes of the film between wedge and label (mm).
RULE_ROOM_MM = 10.0
SHORT_RULE_MM = 50
#: Kept clear of targets, trim ticks and a panel's edges along the rule (mm).
_CLEAR_MM = 8.0


def panel_rules(sheet: FilmSheet, whole: FilmSheet, *, side: str | None) -> tuple[Shape, ...]:
    """Rules across, above the label, and along, in the margin that the panel has.

    Parameters
    ----------
    sheet, whole : FilmSheet
        The panel's and the whole film's, in one frame.
    side : str or None
        Which margin of the whole film the panel has, ``left`` or ``right``; ``None`` for a panel
        between others, which is measured across only.
    """
    shapes = _across(sheet)
    return (*shapes, *(_along(sheet, whole, side) if side else ()))


def rule_length_mm(room_mm: float) -> int:
    """100 mm, 50 mm where that does not fit, or else whole centimetres; 0 under one."""
    for length_mm in (RULE_MM, SHORT_RULE_MM):
        if room_mm >= length_mm:
            return length_mm
    return max(0, int(room_mm // 10) * 10)


def _across(sheet: FilmSheet) -> tuple[Shape, ...]:
    scale, pixel_mm = sheet.scale.across, sheet.page_grid.pixel_mm
    length_mm = rule_length_mm((sheet.page_width_mm - 10.0) / scale)
    left = sheet.pixels(5.0)
    foot = wedge_box(sheet).bottom + sheet.pixels(6.0)
    half = _half_stroke(sheet)
    places = [left + round(mm * scale / pixel_mm) for mm in range(length_mm + 1)]
    return (Box(left - half, foot - half, places[-1] + half, foot + half),
            *(Box(at - half, foot - _tick(sheet, mm), at + half, foot)
              for mm, at in enumerate(places)),
            Words(column=left, row=foot + sheet.pixels(2.8), size_pt=SMALL_TEXT_PT,
                  text=f"{length_mm} mm across"))


def _along(sheet: FilmSheet, whole: FilmSheet, side: str) -> tuple[Shape, ...]:
    scale, pixel_mm, art = sheet.scale.along, sheet.page_grid.pixel_mm, sheet.art_box
    first, end = _free_rows(sheet, whole)
    text_rows = sheet.pixels(3.5)
    length_mm = rule_length_mm((end - first - text_rows) * pixel_mm / scale)
    if not length_mm:
        return ()
    out = -1 if side == "left" else 1
    edge = art.left if side == "left" else art.right
    foot, half = edge + out * sheet.pixels(GAP_MM + 1.0), _half_stroke(sheet)
    top = (first + end - text_rows) // 2 - round(length_mm * scale / pixel_mm / 2)
    places = [top + round(mm * scale / pixel_mm) for mm in range(length_mm + 1)]
    ticks = [sorted((foot, foot + out * _tick(sheet, mm))) for mm in range(length_mm + 1)]
    return (Box(foot - half, top - half, foot + half, places[-1] + half),
            *(Box(a, at - half, b, at + half)
              for (a, b), at in zip(ticks, places, strict=True)),
            Words(column=foot, row=places[-1] + sheet.pixels(3.0), size_pt=SMALL_TEXT_PT,
                  text=f"{length_mm} mm", align="right" if side == "left" else "left"))


def _free_rows(sheet: FilmSheet, whole: FilmSheet) -> tuple[int, int]:
    """The longest stretch of a panel's side margin without a target or a trim tick."""
    art, clear = sheet.art_box, sheet.pixels(_CLEAR_MM)
    shift = round((whole.page_grid.top_x_mm - sheet.page_grid.top_x_mm)
                  / sheet.page_grid.pixel_mm)
    taken = [art.top, art.bottom, *(
        row - shift for row in (whole.trim_box.top, whole.trim_box.bottom, whole.row(0.0))
        if art.top < row - shift < art.bottom)]
    taken.sort()
    first, end = max(pairwise(taken), key=lambda gap: gap[1] - gap[0])
    return first + clear, end - clear


def _half_stroke(sheet: FilmSheet) -> int:
    return max(1, round(STROKE_MM / sheet.page_grid.pixel_mm / 2))


def _tick(sheet: FilmSheet, mm: int) -> int:
    return sheet.pixels(4.0 if mm % 10 == 0 else 3.0 if mm % 5 == 0 else 2.0)
