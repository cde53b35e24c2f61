"""A film that does not fit the printer as panels that overlap: which parts, and their sheets.

Panels take the whole film's dots as they are screened, so laid on each other again they are the
whole film, bit for bit.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from separations.films.film_sheet import Box, FilmSheet
from separations.films.marks import Shape, common_marks, wedge_figures
from separations.films.panel_rules import RULE_ROOM_MM, panel_rules
from separations.films.seams import panel_count, seams
from separations.films.splice_marks import (
    Overlap,
    cut_line,
    map_room_mm,
    panel_map,
    part_of,
    splice_crosses,
)
from separations.halftone.film_content import LaidDots
from separations.halftone.screening import Prepared, screen_region

#: A millimetre kept from the printer's greatest size, since seams lie on whole millimetres.
_SPARE_MM = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PrinterRoom:
    """What the film printer takes (mm), and what neighbouring panels share (mm)."""

    width_mm: float
    length_mm: float
    overlap_mm: float

    def holds(self, sheet: FilmSheet) -> bool:
        """Whether a whole film fits."""
        return sheet.page_width_mm <= self.width_mm and sheet.page_length_mm <= self.length_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class QuietArt:
    """Ink along the whole film's page, at each whole mm (0 to 1; infinite outside the image).

    Attributes
    ----------
    columns, rows : NDArray of float64, shapes (mm across,), (mm along,)
        From the left edge and from the nose edge of the page.
    """

    columns: NDArray[np.float64]
    rows: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """One panel of a film.

    Attributes
    ----------
    number, columns, rows : int
        Which it is, from 1, left to right and from the nose; how many lie across and along.
    art : Box
        Its part of the image, in film pixels.
    fresh : Box
        What of that no panel before it shows, in film pixels.
    page : Box
        Its part of the whole film's page, in page pixels.
    sheet : FilmSheet
        The panel as a film of its own.
    shapes : tuple of Shape
        All its marks.
    """

    number: int
    columns: int
    rows: int
    art: Box
    fresh: Box
    page: Box
    sheet: FilmSheet
    shapes: tuple[Shape, ...]

    @property
    def count(self) -> int:
        """How many panels the film has."""
        return self.columns * self.rows

    @property
    def told(self) -> str:
        """Which panel it is, in words."""
        return f"panel {self.number} of {self.count}, {self.place_told}"

    @property
    def place_told(self) -> str:
        """Where it lies, in words."""
        return _place_told(self.number, self.columns, self.rows)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PanelDots(LaidDots):
    """The dots of a part of a film; its first column is a multiple of 8 of the film's."""

    whole: Prepared
    part: Box

    def region(self, first_row: int, end_row: int, first_column: int,
               end_column: int) -> NDArray[np.uint8]:
        """Those of the whole film there."""
        return screen_region(self.whole, first_row + self.part.top, end_row + self.part.top,
                             first_column + self.part.left, end_column + self.part.left)


def _place_told(number: int, columns: int, rows: int) -> str:
    row, column = divmod(number - 1, columns)
    places = []
    if columns > 1:
        places.append(f"{column + 1} of {columns} from the left")
    if rows > 1:
        places.append(f"{row + 1} of {rows} from the nose")
    return ", ".join(places)


def panel_words(number: int, columns: int, rows: int, overlap: str) -> str:
    """What a panel's label says of it; ``overlap`` as the job writes it."""
    return f"{_place_told(number, columns, rows)} · overlap {overlap} · crosses on crosses"


def panel_dots(whole: Prepared, panel: Panel) -> PanelDots:
    """A panel's dots out of the whole film's."""
    return PanelDots(whole=whole, part=panel.art, film_grid=panel.sheet.art_grid,
                     spec=whole.content.spec)


def split_of(sheet: FilmSheet, room: PrinterRoom) -> tuple[int, int, float]:
    """Panels across and along (0 where none would do), and the narrowest there can be (mm)."""
    most_mm = room.width_mm - _SPARE_MM
    columns = panel_count(sheet.page_width_mm, most_mm, room.overlap_mm)
    rows = panel_count(_art_and_nose_mm(sheet), _most_rows_mm(sheet, room), room.overlap_mm)
    others_mm = (columns - 1) * (most_mm - room.overlap_mm)
    return columns, rows, max(most_mm / 2, sheet.page_width_mm - others_mm)


def parts_without_seams_mm(sheet: FilmSheet,
                           room: PrinterRoom) -> tuple[tuple[float, float], ...]:
    """Stretches of the page's width that no seam reaches, wherever seams come to lie.

    Parameters
    ----------
    sheet, room : FilmSheet, PrinterRoom
        The whole film with its apron, and what the printer takes.

    Returns
    -------
    tuple of (float, float)
        From and to, in mm from the page's left edge: the whole width of panels that lie one
        above another, else what of the first and the last in a row is surely theirs alone.
    """
    width_mm, most_mm = sheet.page_width_mm, room.width_mm - _SPARE_MM
    columns = split_of(sheet, room)[0]
    if columns < 2:
        return ((0.0, width_mm),)
    least_mm = max(most_mm / 2, width_mm - (columns - 1) * (most_mm - room.overlap_mm))
    # Seams move by up to a byte's pixels.
    own_mm = least_mm - room.overlap_mm - 8 * sheet.page_grid.pixel_mm
    return (0.0, own_mm), (width_mm - own_mm, width_mm)


def panels_fit(sheet: FilmSheet, room: PrinterRoom) -> bool:
    """Whether a film can be made in panels: none of them without an edge of the whole film."""
    columns, rows, _ = split_of(sheet, room)
    return columns > 0 and rows > 0 and min(columns, rows) <= 2


def plan_panels(sheet: FilmSheet, room: PrinterRoom, quiet: QuietArt) -> tuple[Panel, ...]:
    """Split a whole film, laid out with an apron, into panels.

    Parameters
    ----------
    sheet : FilmSheet
        The whole film, with `APRON_MM` round it and a line for the panel in its label.
    room : PrinterRoom
        What the printer takes.
    quiet : QuietArt
        Where seams do least harm.

    Raises
    ------
    ValueError
        When no panels would do; ask `panels_fit` first.
    """
    size_mm, most_mm = sheet.page_width_mm, room.width_mm - _SPARE_MM
    across = seams(size_mm, most_mm, room.overlap_mm, quiet.columns)
    along = seams(_art_and_nose_mm(sheet), _most_rows_mm(sheet, room), room.overlap_mm,
                  quiet.rows[:int(_art_and_nose_mm(sheet)) + 1])
    if across is None or along is None:
        raise ValueError("no panels would do")
    art, page = sheet.art_box, sheet.page_grid
    columns = _overlaps(sheet, across, art.left, room.overlap_mm)
    rows = _overlaps(sheet, along, art.top, room.overlap_mm)
    shapes = (*common_marks(sheet), *splice_crosses(sheet, columns, rows))
    lefts, rights = _edges(columns, page.columns)
    tops, bottoms = _edges(rows, page.rows)
    return tuple(
        _panel(sheet, shapes, Box(lefts[c], tops[r], rights[c], bottoms[r]),
               (rights[c - 1] if c else 0, bottoms[r - 1] if r else 0),
               (r * len(lefts) + c + 1, len(lefts), len(tops)))
        for r in range(len(tops)) for c in range(len(lefts)))


def _art_and_nose_mm(sheet: FilmSheet) -> float:
    return sheet.art_box.bottom * sheet.page_grid.pixel_mm


def _most_rows_mm(sheet: FilmSheet, room: PrinterRoom) -> float:
    """Room along a panel for its image, since each has a label of its own below it."""
    tail_mm = sheet.page_length_mm - _art_and_nose_mm(sheet)
    return room.length_mm - tail_mm - _SPARE_MM


def _overlaps(sheet: FilmSheet, middles_mm: tuple[int, ...], origin: int,
              overlap_mm: float) -> tuple[Overlap, ...]:
    """Shared pixels about each seam; both ends whole bytes from the image's edge."""
    half = round(overlap_mm / 2 / sheet.page_grid.pixel_mm / 8) * 8
    middles = [origin + round((mm / sheet.page_grid.pixel_mm - origin) / 8) * 8
               for mm in middles_mm]
    return tuple((middle - half, middle + half) for middle in middles)


def _edges(overlaps: tuple[Overlap, ...], end: int) -> tuple[list[int], list[int]]:
    return [0, *(first for first, _ in overlaps)], [*(last for _, last in overlaps), end]


def _panel(sheet: FilmSheet, shapes: tuple[Shape, ...], box: Box, seen_to: tuple[int, int],
           which: tuple[int, int, int]) -> Panel:
    number, columns, rows = which
    art, page = sheet.art_box, sheet.page_grid
    inner = Box(max(box.left, art.left), max(box.top, art.top), min(box.right, art.right),
                min(box.bottom, art.bottom))
    is_last_row = box.bottom == page.rows
    tail = 0 if is_last_row else page.rows - art.bottom
    own = replace(sheet, art_grid=sheet.part_grid(inner),
                  page_grid=sheet.part_grid(box._replace(bottom=box.bottom + tail)),
                  label_aside_mm=map_room_mm(columns), label_down_mm=RULE_ROOM_MM)
    side = "left" if box.left == 0 else "right" if box.right == page.columns else None
    line = () if is_last_row else cut_line(own.page_grid, box.bottom - box.top)
    on_art = Box(inner.left - art.left, inner.top - art.top, inner.right - art.left,
                 inner.bottom - art.top)
    fresh = on_art._replace(left=max(on_art.left, seen_to[0] - art.left),
                            top=max(on_art.top, seen_to[1] - art.top))
    return Panel(number=number, columns=columns, rows=rows, art=on_art, fresh=fresh, page=box,
                 sheet=own,
                 shapes=(*part_of(shapes, box), *wedge_figures(own), *line,
                         *panel_rules(own, sheet, side=side),
                         *panel_map(own, columns, rows, number)))
