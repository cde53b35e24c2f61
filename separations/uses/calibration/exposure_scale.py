"""A scale on the test sheet that tells how far a stencil was exposed, from the film itself.

Framed fields whose film has ever fewer clear pixels, each half as many as the one before. Single
film pixels are finer than an emulsion resolves, so that a field lets through light as a density
would; where too little came through, the stencil washed out and the field prints solid. Own rule:
film printers whose pixels run together let through less than this says.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preflight.frames.raster_grid import RasterGrid
from preflight.frames.tiled_plane import TiledCanvas
from preflight.press.stencil_exposure import STEP_DENSITY
from preflight.units import MM_PER_INCH
from separations.halftone.film_content import FilmLines
from separations.uses.calibration.patches import Patch
from separations.uses.calibration.register_marks import REGISTER_COLUMNS
from separations.uses.calibration.sheet_marks import MARK_MM

#: Steps of a 21-step scale, which begins with clear film, that let through as much: half the
#: light is a density of 0.30, two steps.
SCALE_STEPS = tuple(1 + round(k * math.log10(2) / STEP_DENSITY)
                    for k in range(len(REGISTER_COLUMNS)))
#: Solid frame round a field (mm).
FRAME_MM = 0.4
#: Coarser films have no scale: a stencil would print their pixels. Own rule.
LEAST_DPI = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ExposureField:
    """One field: the patch above which it stands, its ink, and its place in `SCALE_STEPS`."""

    row: int
    column: int
    ink: int
    place: int


def exposure_fields(patches: Sequence[Patch]) -> tuple[ExposureField, ...]:
    """The fields of all inks: above the second row of each wedge, clear film first."""
    rows = sorted({patch.row for patch in patches if patch.kind == "wedge"})[1::2]
    return tuple(ExposureField(row=row, column=column, ink=row // 2, place=place)
                 for row in rows for place, column in enumerate(REGISTER_COLUMNS))


def exposure_lines(grid: RasterGrid, corners_mm: Sequence[tuple[float, float]]
                   ) -> Iterator[FilmLines]:
    """The fields of one ink as line work on the film's own pixels; none on a coarse film.

    Parameters
    ----------
    grid : RasterGrid
        The film's pixels.
    corners_mm : sequence of (float, float)
        x and y of each field's upper left corner in the film's frame, clear film first.
    """
    if grid.pixel_mm > MM_PER_INCH / LEAST_DPI:
        return
    canvas = TiledCanvas(grid.rows, grid.columns)
    side, frame = (round(mm / grid.pixel_mm) for mm in (MARK_MM, FRAME_MM))
    for place, (x, y) in enumerate(corners_mm):
        field = np.ones((side, side), np.bool_)
        field[frame:-frame, frame:-frame] = inked_pixels(place, side - 2 * frame)
        canvas.put(np.where(field, np.uint8(255), np.uint8(0)),
                   round(grid.row_of(x)), round(grid.column_of(y)))
    yield FilmLines(plane=canvas.plane(), grid=grid, action="print")


def inked_pixels(place: int, side: int) -> NDArray[np.bool_]:
    """A field's film pixels: one in 2 to the power of ``place`` is clear, evenly strewn.

    Returns
    -------
    ndarray, shape (side, side), bool
        True where the film is dark.
    """
    y, x = np.mgrid[0:side, 0:side]
    half, odd = divmod(place, 2)
    period = 2 ** (half + odd)
    clear = (x % period == 0) & (y % period == 0)
    if odd:
        clear |= (x % period == period // 2) & (y % period == period // 2)
    return np.asarray(~clear)
