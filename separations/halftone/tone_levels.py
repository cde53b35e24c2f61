"""From tone value to the level a spot must exceed, so that coverage equals the tone asked.

Ranking the spot happens here, once per 16-bit tone value, and nowhere else: pixels only compare.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from preflight.frames.raster_grid import RasterGrid
from preflight.press.halftone_spec import HalftoneSpec
from separations.halftone.cell_lattice import counted_end, counted_levels, repeat_pixels
from separations.halftone.spot_levels import SPOT_SCALE, levelled_spot

#: About how wide a coarse cell is (mm).
CELL_MM = 2.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CoverageMap:
    """The share of film pixels inked in each coarse cell.

    Attributes
    ----------
    share : NDArray of float32, shape (cell rows, cell columns)
        0 to 1; cells cut by the film's lower or right edge count their own pixels only.
    grid : RasterGrid
        The cells in the board frame.
    """

    share: NDArray[np.float32]
    grid: RasterGrid


def cell_pixels(film_grid: RasterGrid) -> int:
    """Side of a coarse cell in film pixels: whole bytes, as near `CELL_MM` as they come."""
    return 8 * max(1, round(CELL_MM / film_grid.pixel_mm / 8))


def empty_counts(film_grid: RasterGrid) -> NDArray[np.int64]:
    """Zero counts of all coarse cells, shape (cell rows, cell columns), int64."""
    side = cell_pixels(film_grid)
    return np.zeros((-(-film_grid.rows // side), -(-film_grid.columns // side)), np.int64)


def count_cells(packed: NDArray[np.uint8], first_row: int, side: int,
                counts: NDArray[np.int64]) -> None:
    """Add the ink pixels of whole film rows to their coarse cells.

    Parameters
    ----------
    packed : NDArray of uint8, shape (rows, bytes)
        Film rows from ``first_row`` on.
    side : int
        Side of a cell in film pixels; a multiple of 8.
    counts : NDArray of int64, shape (cell rows, cell columns)
        Added to in place.
    """
    from separations.halftone.packed_rows import add_ones

    starts = np.arange(0, packed.shape[1], side // 8)
    row = 0
    while row < len(packed):
        cell, within = divmod(first_row + row, side)
        end = min(row + side - within, len(packed))
        by_byte = np.zeros(packed.shape[1], np.uint32)
        add_ones(packed[row:end], by_byte)
        counts[cell, :len(starts)] += np.add.reduceat(by_byte, starts, dtype=np.int64)
        row = end


def coverage_map(counts: NDArray[np.int64], film_grid: RasterGrid) -> CoverageMap:
    """The counts as shares of each cell's own pixels."""
    side = cell_pixels(film_grid)
    rows = np.diff(np.append(np.arange(len(counts)) * side, film_grid.rows))
    columns = np.diff(np.append(np.arange(counts.shape[1]) * side, film_grid.columns))
    cells = RasterGrid(top_x_mm=film_grid.top_x_mm, left_y_mm=film_grid.left_y_mm,
                       pixel_mm=side * film_grid.pixel_mm,
                       rows=len(rows), columns=len(columns))
    return CoverageMap(share=(counts / np.outer(rows, columns)).astype(np.float32), grid=cells)


#: Tone values are whole numbers from 0 (clear) to this (solid).
SOLID_TONE = 65535
#: The level that no spot exceeds, and the one that every spot exceeds: beyond ±`SPOT_SCALE`.
CLEAR_LEVEL = 32767
SOLID_LEVEL = -32767


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldEnds:
    """The smallest and the largest tone whose dots and holes print, and their levels.

    Attributes
    ----------
    smallest, largest : float
        Tones, 0 to 1: those of the halftone, except that with ``thin`` dots in cells of a whole
        number of pixels the next possible shares are taken (upwards, and downwards).
    high_level, low_level : int
        Their levels; beyond every spot where there is no smallest dot or no largest.
    """

    smallest: float
    largest: float
    high_level: int
    low_level: int


@lru_cache(maxsize=16)
def held_ends(spec: HalftoneSpec) -> HeldEnds:
    """The ends between which this film's dots print."""
    smallest, largest = spec.smallest_tone, spec.largest_tone
    pixels = repeat_pixels(spec)
    if spec.small_dots == "thin" and pixels is not None:
        spot = levelled_spot(spec.dot_shape)
        smallest = counted_end(spot, spec, pixels, smallest)
        largest = 1 - counted_end(spot, spec, pixels, 1 - largest)
    levels = _levels(spec, np.array([smallest, largest]))
    return HeldEnds(smallest=smallest, largest=largest,
                    high_level=int(levels[0]) if smallest > 0 else CLEAR_LEVEL,
                    low_level=int(levels[1]) if largest < 1 else SOLID_LEVEL)


@lru_cache(maxsize=16)
def tone_levels(spec: HalftoneSpec) -> NDArray[np.int16]:
    """The level of each 16-bit tone value, shape (65536,), int16, falling; not to be written to.

    Ink goes where the spot, scaled to ±`SPOT_SCALE`, exceeds the level. One step of the level is
    at most 0.004 % of coverage except within a hair of a link-up. Tone 0 stays clear and 65535
    solid. Tones below ``smallest_tone`` become clear (``drop``) or take the smallest dot's level
    (``hold``, and ``thin``, where other tables say which dots print); tones between
    ``largest_tone`` and solid take the largest dot's level.
    """
    tones = np.arange(SOLID_TONE + 1) / SOLID_TONE
    ends = held_ends(spec)
    levels = _levels(spec, np.minimum(np.maximum(tones, ends.smallest), ends.largest))
    if spec.small_dots == "drop":
        levels[:round(spec.smallest_tone * SOLID_TONE)] = CLEAR_LEVEL
    levels[0] = CLEAR_LEVEL
    levels[SOLID_TONE] = SOLID_LEVEL
    levels.setflags(write=False)
    return levels


def _levels(spec: HalftoneSpec, asked: NDArray[np.float64]) -> NDArray[np.int16]:
    spot = levelled_spot(spec.dot_shape)
    pixels = repeat_pixels(spec)
    height = (spot.level_of_cover(asked) if pixels is None
              else counted_levels(spot, spec, pixels, asked))
    return np.rint(SPOT_SCALE * height).astype(np.int16)


@lru_cache(maxsize=1)
def line_levels() -> NDArray[np.int16]:
    """The level of each 8-bit line coverage, shape (256,), int16: half covered lies at zero."""
    covers = np.arange(256) / 255
    levels = np.rint(CLEAR_LEVEL * (1 - 2 * covers)).astype(np.int16)
    levels.setflags(write=False)
    return levels
