"""Where film pixels fall inside halftone cells.

At most angles they fall everywhere alike. At 0° and 90°, cells of a whole number of pixels (or
several such cells together) repeat the same few places for ever; tones are then ranked by
counting those places, so that a cell of 32 × 32 pixels is worth all its 1024 tone steps.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preflight.frames.raster_grid import RasterGrid
from preflight.press.halftone_spec import HalftoneSpec
from separations.halftone.spot_levels import LevelledSpot

#: Whole periods are counted in this many bits below the point.
PLACE_BITS = 15


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CellPlaces:
    """The cells that a film meets, with two to spare on all sides.

    Attributes
    ----------
    first_u, first_v : int
        Number of the first cell, in periods along and across the halftone's angle.
    shape : tuple of int
        Cells across, cells along.
    row_places, column_places : NDArray of int32, shapes (film rows, 2), (2, film columns)
        Their sums are the position (u, v) from the first cell, in 2⁻¹⁵ periods.
    steps : NDArray of float64, shape (3, 2)
        Film (row, column) of the first cell's dot, and what one cell along and across adds.
        Counted from the upper left corner of the film; a pixel's centre lies at its half.
    """

    first_u: int
    first_v: int
    shape: tuple[int, int]
    row_places: NDArray[np.int32]
    column_places: NDArray[np.int32]
    steps: NDArray[np.float64]


def cell_places(spec: HalftoneSpec, grid: RasterGrid) -> CellPlaces:
    """Number the cells of a film."""
    turned = Turned.of(spec, grid)
    u_rows, v_rows = turned.of_rows(grid.row_centres_x_mm())
    u_columns, v_columns = turned.of_columns(grid.column_centres_y_mm())
    first_u, end_u = _span(u_rows, u_columns)
    first_v, end_v = _span(v_rows, v_columns)
    return CellPlaces(
        first_u=first_u, first_v=first_v, shape=(end_v - first_v, end_u - first_u),
        row_places=_fixed(np.stack([u_rows - first_u, v_rows - first_v], axis=1)),
        column_places=_fixed(np.stack([u_columns, v_columns])),
        steps=_steps(turned, first_u, first_v, spec.cell_pixels, grid))


def _span(rows: NDArray[np.float64], columns: NDArray[np.float64]) -> tuple[int, int]:
    """First and end cell number of all positions, with two to spare."""
    return (math.floor(rows.min() + columns.min()) - 2, math.ceil(rows.max() + columns.max()) + 3)


def _fixed(periods: NDArray[np.float64]) -> NDArray[np.int32]:
    return np.rint(periods * 2.0**PLACE_BITS).astype(np.int32)


def _steps(turned: Turned, first_u: int, first_v: int, pixels: float,
           grid: RasterGrid) -> NDArray[np.float64]:
    u, v = first_u - turned.aside_u, first_v - turned.aside_v
    x = (u * turned.cos - v * turned.sin) / turned.periods_per_mm + turned.origin_x_mm
    y = (u * turned.sin + v * turned.cos) / turned.periods_per_mm + turned.origin_y_mm
    return np.array([[grid.row_of(x), grid.column_of(y)],
                     [-turned.cos * pixels, -turned.sin * pixels],
                     [turned.sin * pixels, -turned.cos * pixels]])


#: How far (pixels, along u and v) the pixel centre nearest the board's origin lies from a dot's
#: middle. Off every line of symmetry, so that mirrored pixels of a cell rank apart: chosen by
#: trying cells of 16 to 40 pixels.
ORIGIN_PIXELS = (0.17, 0.38)
_MOST_CELLS = 64
_MOST_PIXELS = 1024
_SAME_PLACE_PIXELS = 1e-6
#: Heights that agree to this many decimals rank alike.
_HEIGHT_DECIMALS = 9


def origin_mm(grid: RasterGrid) -> tuple[float, float]:
    """(x, y) of the pixel centre nearest the board's origin, on the grid or on its extension."""
    row = math.floor(grid.row_of(0.0) + 0.25)
    column = math.floor(grid.column_of(0.0) + 0.25)
    return (grid.top_x_mm - (row + 0.5) * grid.pixel_mm,
            grid.left_y_mm - (column + 0.5) * grid.pixel_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Turned:
    """The halftone's frame: (u, v) in periods from board millimetres and back."""

    cos: float
    sin: float
    aside_u: float
    aside_v: float
    origin_x_mm: float
    origin_y_mm: float
    periods_per_mm: float

    @classmethod
    def of(cls, spec: HalftoneSpec, grid: RasterGrid) -> Turned:
        """The frame in which `film_spot.film_spot` lays the spots of a film."""
        angle = math.radians(spec.angle_deg)
        origin_x, origin_y = origin_mm(grid)
        aside_u, aside_v = (pixels / spec.cell_pixels for pixels in ORIGIN_PIXELS)
        return cls(cos=math.cos(angle), sin=math.sin(angle), aside_u=aside_u, aside_v=aside_v,
                   origin_x_mm=origin_x, origin_y_mm=origin_y,
                   periods_per_mm=spec.ruling_lpcm / 10)

    def of_rows(self, x_mm: NDArray[np.float64]) -> tuple[NDArray[np.float64],
                                                           NDArray[np.float64]]:
        """The part of (u, v) that comes from x; shapes of ``x_mm``."""
        x = (x_mm - self.origin_x_mm) * self.periods_per_mm
        return x * self.cos + self.aside_u, -x * self.sin + self.aside_v

    def of_columns(self, y_mm: NDArray[np.float64]) -> tuple[NDArray[np.float64],
                                                              NDArray[np.float64]]:
        """The part of (u, v) that comes from y; shapes of ``y_mm``."""
        y = (y_mm - self.origin_y_mm) * self.periods_per_mm
        return y * self.sin, y * self.cos


def repeat_pixels(spec: HalftoneSpec) -> int | None:
    """After how many pixels, along rows and columns alike, the same places come round again.

    ``None`` where they do not within 1024 pixels or 64 cells, or the angle is not a right one.
    """
    if spec.angle_deg % 90.0 != 0.0:
        return None
    for cells in range(1, _MOST_CELLS + 1):
        pixels = cells * spec.cell_pixels
        if pixels > _MOST_PIXELS:
            return None
        if abs(pixels - round(pixels)) < _SAME_PLACE_PIXELS:
            return round(pixels)
    return None


def counted_levels(spot: LevelledSpot, spec: HalftoneSpec, pixels: int,
                   cover: NDArray[np.float64]) -> NDArray[np.float64]:
    """Level that the nearest possible share to ``cover`` of the repeated pixels exceeds.

    Parameters
    ----------
    spot : LevelledSpot
        The dot's shape.
    spec : HalftoneSpec
        The halftone.
    pixels : int
        Its `repeat_pixels`.
    cover : NDArray of float64, any shape
        Shares of the area, 0 to 1.

    Returns
    -------
    NDArray of float64, same shape
        Levels, half-way between the heights of neighbouring ranks.
    """
    between, shares = _ranks(spot, spec, pixels)
    nearest = np.searchsorted((shares[1:] + shares[:-1]) / 2, cover)
    return np.asarray(between[nearest])


def counted_end(spot: LevelledSpot, spec: HalftoneSpec, pixels: int, smallest: float) -> float:
    """The least possible share of the repeated pixels that is not under ``smallest`` (0 to 1)."""
    shares = _ranks(spot, spec, pixels)[1]
    return float(shares[np.searchsorted(shares, smallest - _SAME_PLACE_PIXELS)])


def _ranks(spot: LevelledSpot, spec: HalftoneSpec,
           pixels: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Levels between the heights of the repeated pixels, falling, and the shares above them."""
    steps = np.arange(pixels)
    heights = spot.height(((steps + ORIGIN_PIXELS[0]) / spec.cell_pixels)[:, None],
                          ((steps + ORIGIN_PIXELS[1]) / spec.cell_pixels)[None, :])
    rising, counts = np.unique(heights.round(_HEIGHT_DECIMALS), return_counts=True)
    falling = rising[::-1]
    between = np.concatenate([[1.0], (falling[1:] + falling[:-1]) / 2, [-1.0]])
    return between, np.concatenate([[0], np.cumsum(counts[::-1])]) / heights.size
