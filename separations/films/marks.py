"""Marks round the image, the same on every film of a board to the pixel.

Layout, from the image outwards: registration targets and trim ticks stand in the ring nearest
the image; then, at the nose end, the rule across; at the tail end, the tone wedge and the label;
in the left margin the rule along. Everything is decided in whole film pixels.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from separations.films.film_sheet import Box, FilmSheet
from separations.halftone.tone_levels import SOLID_TONE

STROKE_MM = 0.2
#: Depth of the ring of targets and ticks, and of the free strip between it and the image (mm).
RING_MM = 11.0
GAP_MM = 2.5
TARGET_ARM_MM = 4.5
TARGET_RADIUS_MM = 2.5
RULE_MM = 100
TICK_MM = 6.0
#: Steps of the tone wedge in percent.
WEDGE_PERCENT = (1, 2, 3, 5, 10, 20, 30, 40, 50, 60, 70, 80, 90, 95, 97, 98, 99, 100)
WEDGE_STEP_MM = 8.0
WEDGE_HEIGHT_MM = 8.0
SMALL_TEXT_PT = 6.0
END_TEXT_PT = 9.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring:
    """A circle's line: centre at a pixel corner, radius to the line's middle, in pixels."""

    column: int
    row: int
    radius: int
    stroke: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """A short text: where its baseline starts, is centred or ends, in pixels."""

    column: int
    row: int
    size_pt: float
    text: str
    align: Literal["left", "centre", "right"] = "left"


Shape = Box | Ring | Words


def marks(sheet: FilmSheet) -> tuple[Shape, ...]:
    """All marks of a sheet but its label and the wedge's dots."""
    return (*common_marks(sheet), *_rule_across(sheet), *_rule_along(sheet),
            *wedge_figures(sheet))


def marks_but_trim(sheet: FilmSheet) -> tuple[Shape, ...]:
    """The same without ticks at the trim."""
    return (*_targets(sheet), *_ends(sheet), *_rule_across(sheet), *_rule_along(sheet),
            *wedge_figures(sheet))


def common_marks(sheet: FilmSheet) -> tuple[Shape, ...]:
    """The marks that panels share: targets, ends and trim, without rules and the wedge."""
    return (*_targets(sheet), *_ends(sheet), *_trim_ticks(sheet))


def wedge_box(sheet: FilmSheet) -> Box:
    """Where the tone wedge's dots stand: centred at the tail end, below the targets."""
    step = min(sheet.pixels(WEDGE_STEP_MM), (sheet.page_grid.columns - 2 * sheet.pixels(4.0))
               // len(WEDGE_PERCENT))
    left = sheet.page_grid.columns // 2 - step * len(WEDGE_PERCENT) // 2
    top = sheet.art_box.bottom + sheet.pixels(GAP_MM + RING_MM + 4.0)
    return Box(left, top, left + step * len(WEDGE_PERCENT), top + sheet.pixels(WEDGE_HEIGHT_MM))


def wedge_tones(sheet: FilmSheet) -> NDArray[np.uint16]:
    """Tones of the wedge's pixels, shape (rows, columns), uint16, 65535 = 100 %."""
    box = wedge_box(sheet)
    tones = np.rint(np.array(WEDGE_PERCENT) / 100 * SOLID_TONE).astype(np.uint16)
    row = np.repeat(tones, (box.right - box.left) // len(WEDGE_PERCENT))
    return np.tile(row, (box.bottom - box.top, 1))


def label_box(sheet: FilmSheet) -> Box:
    """Where the label stands: the tail end's outer strip."""
    aside = sheet.pixels(5.0)
    top = wedge_box(sheet).bottom + sheet.pixels(2.0 + sheet.label_down_mm)
    return Box(aside, top, sheet.page_grid.columns - aside - round(
                   sheet.label_aside_mm / sheet.page_grid.pixel_mm),
               sheet.page_grid.rows - sheet.pixels(3.0 + sheet.label_below_mm))


def stroke_px(sheet: FilmSheet) -> int:
    """An even number of pixels, so that a line lies evenly on a pixel corner."""
    return 2 * max(1, round(STROKE_MM / sheet.page_grid.pixel_mm / 2))


def _upright(sheet: FilmSheet, column: int, top: int, bottom: int) -> Box:
    half = stroke_px(sheet) // 2
    return Box(column - half, top, column + half, bottom)


def _level(sheet: FilmSheet, row: int, left: int, right: int) -> Box:
    half = stroke_px(sheet) // 2
    return Box(left, row - half, right, row + half)


def _targets(sheet: FilmSheet) -> list[Shape]:
    """Crosses in circles: corners, both ends on the centre line, both sides at mid-length."""
    art, out_mm = sheet.art_box, GAP_MM + RING_MM / 2
    down, over = sheet.down(out_mm), sheet.over(out_mm)
    rows = (art.top - down, sheet.row(0.0), art.bottom + down)
    columns = (art.left - over, sheet.column(0.0), art.right + over)
    arm, radius = sheet.pixels(TARGET_ARM_MM), sheet.pixels(TARGET_RADIUS_MM)
    shapes: list[Shape] = []
    for row in rows:
        for column in columns:
            if (row, column) == (rows[1], columns[1]):
                continue
            shapes += [_upright(sheet, column, row - arm, row + arm),
                       _level(sheet, row, column - arm, column + arm),
                       Ring(column=column, row=row, radius=radius, stroke=stroke_px(sheet))]
    return shapes


def targets_apart_mm(sheet: FilmSheet) -> float:
    """Between the targets on the centre line at nose and tail (mm on the film)."""
    down = sheet.down(GAP_MM + RING_MM / 2)
    return (sheet.art_box.bottom - sheet.art_box.top + 2 * down) * sheet.page_grid.pixel_mm


def _ends(sheet: FilmSheet) -> list[Shape]:
    """Which end is which, beside the targets on the centre line."""
    aside = sheet.column(0.0) + sheet.pixels(TARGET_ARM_MM + 2.0)
    down = sheet.pixels(GAP_MM + RING_MM / 2 - 1.0)
    return [Words(column=aside, row=sheet.art_box.top - down, size_pt=END_TEXT_PT, text="NOSE"),
            Words(column=aside, row=sheet.art_box.bottom + down + sheet.pixels(2.0),
                  size_pt=END_TEXT_PT, text="TAIL")]


def _trim_ticks(sheet: FilmSheet) -> list[Shape]:
    """Ticks at the trim's ends and sides, clear of the image and of the corner targets."""
    art, trim = sheet.art_box, sheet.trim_box
    gap, length = sheet.pixels(GAP_MM), sheet.pixels(TICK_MM)
    shapes: list[Shape] = []
    for row in (trim.top, trim.bottom):
        shapes += [_level(sheet, row, art.left - gap - length, art.left - gap),
                   _level(sheet, row, art.right + gap, art.right + gap + length)]
    for column in (trim.left, trim.right):
        shapes += [_upright(sheet, column, art.top - gap - length, art.top - gap),
                   _upright(sheet, column, art.bottom + gap, art.bottom + gap + length)]
    return shapes


def _rule_length_mm(room_mm: float) -> int:
    """100 mm, or as many whole centimetres as there is room for."""
    return min(RULE_MM, max(10, int(room_mm // 10) * 10))


def _rule_across(sheet: FilmSheet) -> list[Shape]:
    """A check rule with millimetre ticks across the nose end."""
    length_mm = _rule_length_mm(sheet.page_width_mm - 20.0)
    foot = sheet.art_box.top - sheet.pixels(GAP_MM + RING_MM + 2.0)
    left = sheet.page_grid.columns // 2 - sheet.over(length_mm) // 2
    shapes: list[Shape] = [_level(sheet, foot, left, left + sheet.over(length_mm))]
    for mm in range(length_mm + 1):
        column = left + round(mm * sheet.scale.across / sheet.page_grid.pixel_mm)
        shapes.append(_upright(sheet, column, foot - _tick(sheet, mm), foot))
    middle = left + sheet.over(length_mm) // 2
    shapes.append(Words(column=middle, row=foot - sheet.pixels(5.0), size_pt=SMALL_TEXT_PT,
                        text=f"{length_mm} mm across", align="centre"))
    return shapes


def _rule_along(sheet: FilmSheet) -> list[Shape]:
    """A check rule with millimetre ticks along the left side, between nose and mid-length."""
    room_mm = abs(sheet.art_box.top - sheet.row(0.0)) * sheet.page_grid.pixel_mm - 20.0
    length_mm = _rule_length_mm(room_mm)
    foot = sheet.art_box.left - sheet.pixels(GAP_MM + 1.0)
    bottom = sheet.row(0.0) - sheet.pixels(10.0)
    shapes: list[Shape] = [_upright(sheet, foot, bottom - sheet.down(length_mm), bottom)]
    for mm in range(length_mm + 1):
        row = bottom - round(mm * sheet.scale.along / sheet.page_grid.pixel_mm)
        shapes.append(_level(sheet, row, foot - _tick(sheet, mm), foot))
    shapes.append(Words(column=foot, row=bottom + sheet.pixels(3.0), size_pt=SMALL_TEXT_PT,
                        text=f"{length_mm} mm", align="right"))
    return shapes


def _tick(sheet: FilmSheet, mm: int) -> int:
    return sheet.pixels(4.0 if mm % 10 == 0 else 3.0 if mm % 5 == 0 else 2.0)


def wedge_figures(sheet: FilmSheet) -> list[Shape]:
    """The tone value above each step of the wedge, in percent."""
    box = wedge_box(sheet)
    step = (box.right - box.left) // len(WEDGE_PERCENT)
    row = box.top - sheet.pixels(0.8)
    unit = Words(column=box.left, row=row, size_pt=SMALL_TEXT_PT, text="%", align="right")
    return [unit, *(
        Words(column=box.left + k * step + step // 2, row=row,
              size_pt=SMALL_TEXT_PT, text=str(percent), align="centre")
        for k, percent in enumerate(WEDGE_PERCENT))]
