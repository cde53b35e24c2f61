"""Line work measured where it runs into insert holes and keep-outs."""

from __future__ import annotations

import math

import numpy as np
from shapely import get_parts

from preflight.board.area_mask import Area, coverage_mask
from preflight.board.fittings import LineKeptOff
from preflight.raster_grid import RasterGrid
from separations.planes.laid_out_job import LaidOutJob
from separations.planes.line_work import LineWork

_HALF = 32_768


def measure_lost_lines(laid: LaidOutJob, sheets: tuple[LineWork, ...]) -> tuple[LineKeptOff, ...]:
    """How much of each drawing falls into holes and into keep-outs that take no ink.

    Only the pixels round each place are looked at.
    """
    fittings = laid.fittings
    places = [part for pack in fittings.inserts for part in get_parts(pack.clear)]
    places += [place.area for place in fittings.keep_outs if place.ink_off]
    if not places:
        return ()
    facts = []
    for sheet in sheets:
        inked = [_inked_mm2(sheet, place) for place in places]
        worst = int(np.argmax(inked))
        facts.append(LineKeptOff(
            file=sheet.table.file, mm2_lost=sum(inked),
            bounds_mm=tuple(places[worst].bounds) if inked[worst] else None))
    return tuple(facts)


def _inked_mm2(sheet: LineWork, place: Area) -> float:
    grid = sheet.grid
    least_x, least_y, greatest_x, greatest_y = place.bounds
    rows = _window(grid.row_of(greatest_x), grid.row_of(least_x), grid.rows)
    columns = _window(grid.column_of(greatest_y), grid.column_of(least_y), grid.columns)
    if rows[0] >= rows[1] or columns[0] >= columns[1]:
        return 0.0
    part = RasterGrid(top_x_mm=grid.top_x_mm - rows[0] * grid.pixel_mm,
                      left_y_mm=grid.left_y_mm - columns[0] * grid.pixel_mm,
                      pixel_mm=grid.pixel_mm, rows=rows[1] - rows[0],
                      columns=columns[1] - columns[0])
    inked = sheet.cover.window(*rows, *columns) > 127
    inked &= coverage_mask(place, part) >= _HALF
    return int(np.count_nonzero(inked)) * grid.pixel_mm**2


def _window(first: float, end: float, most: int) -> tuple[int, int]:
    return max(0, math.floor(first)), min(most, math.ceil(end))
