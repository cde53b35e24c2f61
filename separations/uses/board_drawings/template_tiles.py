"""How a board is parted over small sheets: windows that overlap, and marks to join them by."""

from __future__ import annotations

import math
from typing import NamedTuple

#: A4 lying (mm). Source: ISO 216.
SHEET_MM = (297.0, 210.0)
#: What office printers leave white at the edges, with room for the check rules (mm).
#: Common practice, no source.
SIDE_MARGIN_MM = 14.0
FOOT_MARGIN_MM = 20.0
OVERLAP_MM = 15.0
#: Marks nearer to each other than this would be drawn over each other (mm).
APART_MM = 12.0
#: Free strip round the printed area (mm).
ROUND_MM = 4.0


class Window(NamedTuple):
    """The piece of the board that one sheet shows: lower left corner and size, board mm."""

    column: int
    row: int
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float

    def holds(self, x_mm: float, y_mm: float) -> bool:
        """Whether a place lies in the window."""
        return (self.x_mm <= x_mm <= self.x_mm + self.width_mm
                and self.y_mm <= y_mm <= self.y_mm + self.height_mm)


class Join(NamedTuple):
    """A mark that two sheets show at the same place of the board; they carry the same number."""

    number: int
    x_mm: float
    y_mm: float


class Tiling(NamedTuple):
    """The sheets, from tail to nose and bottom to top, and the marks that join them."""

    windows: tuple[Window, ...]
    joins: tuple[Join, ...]
    columns: int
    rows: int


def tiling_over(bounds_mm: tuple[float, float, float, float]) -> Tiling:
    """Part a rectangle of the board over A4 sheets, laid so that the fewest are needed.

    Parameters
    ----------
    bounds_mm : tuple of float
        (least x, least y, greatest x, greatest y) of what must be shown.

    Notes
    -----
    Neighbours overlap by 15 mm at least, the same along a row; two marks stand in the middle of
    each overlap.
    """
    least_x, least_y, most_x, most_y = bounds_mm
    width = SHEET_MM[0] - 2 * SIDE_MARGIN_MM
    height = SHEET_MM[1] - SIDE_MARGIN_MM - FOOT_MARGIN_MM
    columns, x_starts = _starts(least_x - ROUND_MM, most_x + ROUND_MM, width)
    rows, y_starts = _starts(least_y - ROUND_MM, most_y + ROUND_MM, height)
    windows = tuple(Window(column, row, x, y, width, height)
                    for row, y in enumerate(y_starts) for column, x in enumerate(x_starts))
    places = [((x_starts[w.column + 1] + w.x_mm + width) / 2, w.y_mm + height * share)
              for w in windows if w.column + 1 < columns for share in (0.25, 0.75)]
    places += [(w.x_mm + width * share, (y_starts[w.row + 1] + w.y_mm + height) / 2)
               for w in windows if w.row + 1 < rows for share in (0.25, 0.75)]
    joins = tuple(Join(number, x, y)
                  for number, (x, y) in enumerate(_apart(places, windows), 1))
    return Tiling(windows, joins, columns, rows)


def _apart(places: list[tuple[float, float]],
           windows: tuple[Window, ...]) -> list[tuple[float, float]]:
    """The places without those that lie on another's mark, seen on all the same sheets."""
    kept: list[tuple[float, float]] = []
    for x, y in places:
        shown = {w for w in windows if w.holds(x, y)}
        if not any(math.dist((x, y), other) < APART_MM
                   and shown <= {w for w in windows if w.holds(*other)} for other in kept):
            kept.append((x, y))
    return kept


def _starts(least: float, most: float, window: float) -> tuple[int, list[float]]:
    """How many windows lie beside each other, and where each begins; together in the middle."""
    count = max(1, math.ceil((most - least - OVERLAP_MM) / (window - OVERLAP_MM)))
    step = (most - least - window) / (count - 1) if count > 1 else 0.0
    first = least if count > 1 else (least + most - window) / 2
    return count, [first + step * k for k in range(count)]
