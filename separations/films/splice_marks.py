"""Marks by which panels are laid on each other, and the map that tells which panel this is."""

from __future__ import annotations

from preflight.frames.raster_grid import RasterGrid
from separations.films.film_sheet import Box, FilmSheet
from separations.films.marks import SMALL_TEXT_PT, Ring, Shape, Words, label_box

#: Free film round a film of panels (mm), where the crosses stand clear of all other marks.
APRON_MM = 7.0
#: Fine lines, so that two crosses on each other show a shift. Own choice, no source.
CROSS_STROKE_MM = 0.1
CROSS_ARM_MM = 2.0
CELL_MM = 5.0
MAP_HEIGHT_MM = 18.0
_FRAME_MM = 0.2
_DASH_MM = 3.0
_MAP_GAP_MM = 4.0

#: From and to (exclusive) in page pixels, of what two neighbours share.
Overlap = tuple[int, int]


def splice_crosses(sheet: FilmSheet, across: tuple[Overlap, ...],
                   along: tuple[Overlap, ...]) -> tuple[Shape, ...]:
    """Crosses in the overlaps, two at either end of each, in the apron of the whole film.

    Parameters
    ----------
    sheet : FilmSheet
        The whole film, its apron included.
    across, along : tuple of Overlap
        Shared columns, from the left, and shared rows, from the nose.

    Returns
    -------
    tuple of Shape
        On the whole film's pixels, so that both neighbours show the very same ones.
    """
    page, aside = sheet.page_grid, sheet.pixels(APRON_MM / 2)
    shapes: list[Shape] = []
    for first, end in across:
        for column in (first + (end - first) // 4, end - (end - first) // 4):
            for row in (aside, page.rows - aside):
                shapes += _cross(sheet, column, row)
    for first, end in along:
        for row in (first + (end - first) // 4, end - (end - first) // 4):
            for column in (aside, page.columns - aside):
                shapes += _cross(sheet, column, row)
    return tuple(shapes)


def map_room_mm(columns: int) -> float:
    """How much of the label's width the map takes (mm)."""
    return columns * CELL_MM + 2 * _MAP_GAP_MM


def panel_map(sheet: FilmSheet, columns: int, rows: int, number: int) -> tuple[Shape, ...]:
    """The panels as a scheme, nose up, beside a panel's label: this one filled, others numbered.

    Parameters
    ----------
    sheet : FilmSheet
        The panel's own sheet, with room beside its label.
    columns, rows : int
        Panels across and along.
    number : int
        This panel, from 1, left to right and from the nose.
    """
    label, wide = label_box(sheet), sheet.pixels(CELL_MM)
    left, top = label.right + sheet.pixels(_MAP_GAP_MM), label.top + sheet.pixels(3.0)
    high = sheet.pixels((MAP_HEIGHT_MM - 3.0) / rows)
    shapes: list[Shape] = [Words(column=left + columns * wide // 2, row=top - sheet.pixels(0.7),
                                 size_pt=SMALL_TEXT_PT, text="nose", align="centre")]
    for each in range(rows * columns):
        row, column = divmod(each, columns)
        cell = Box(left + column * wide, top + row * high, left + (column + 1) * wide,
                   top + (row + 1) * high)
        shapes += _frame(cell, sheet.pixels(_FRAME_MM))
        if each + 1 == number:
            inset = sheet.pixels(0.7)
            shapes.append(Box(cell.left + inset, cell.top + inset, cell.right - inset,
                              cell.bottom - inset))
        else:
            shapes.append(Words(column=(cell.left + cell.right) // 2,
                                row=(cell.top + cell.bottom) // 2 + sheet.pixels(0.8),
                                size_pt=SMALL_TEXT_PT, text=str(each + 1), align="centre"))
    return tuple(shapes)


def cut_line(page: RasterGrid, row: int) -> tuple[Shape, ...]:
    """A dashed line over the panel's width, below which its label is cut off before splicing."""
    dash, thin = round(_DASH_MM / page.pixel_mm), max(1, round(CROSS_STROKE_MM / page.pixel_mm))
    dashes = [Box(column, row, min(column + dash, page.columns), row + thin)
              for column in range(0, page.columns, 2 * dash)]
    words = Words(column=page.columns // 2, row=row + round(4.0 / page.pixel_mm),
                  size_pt=SMALL_TEXT_PT, align="centre",
                  text="cut off along this line before splicing")
    return (*dashes, words)


def part_of(shapes: tuple[Shape, ...], box: Box) -> tuple[Shape, ...]:
    """What of the whole film's shapes shows on a part of its page, on the part's own pixels."""
    found: list[Shape] = []
    for shape in shapes:
        if isinstance(shape, Box):
            cut = Box(max(shape.left, box.left), max(shape.top, box.top),
                      min(shape.right, box.right), min(shape.bottom, box.bottom))
            if cut.left < cut.right and cut.top < cut.bottom:
                found.append(Box(cut.left - box.left, cut.top - box.top, cut.right - box.left,
                                 cut.bottom - box.top))
            continue
        reach = shape.radius + shape.stroke if isinstance(shape, Ring) else 0
        if box.top + reach <= shape.row <= box.bottom - reach and \
                box.left - reach < shape.column < box.right + reach:
            found.append(_moved(shape, box))
    return tuple(found)


def _moved(shape: Ring | Words, box: Box) -> Shape:
    column, row = shape.column - box.left, shape.row - box.top
    if isinstance(shape, Ring):
        return Ring(column=column, row=row, radius=shape.radius, stroke=shape.stroke)
    return Words(column=column, row=row, size_pt=shape.size_pt, text=shape.text,
                 align=shape.align)


def _cross(sheet: FilmSheet, column: int, row: int) -> list[Shape]:
    arm, half = sheet.pixels(CROSS_ARM_MM), max(1, round(
        CROSS_STROKE_MM / sheet.page_grid.pixel_mm / 2))
    return [Box(column - half, row - arm, column + half, row + arm),
            Box(column - arm, row - half, column + arm, row + half)]


def _frame(cell: Box, stroke: int) -> list[Shape]:
    return [cell._replace(bottom=cell.top + stroke), cell._replace(top=cell.bottom - stroke),
            cell._replace(right=cell.left + stroke), cell._replace(left=cell.right - stroke)]
