"""Dots of flat tints, drawn so that each covers its area and lies in its middle.

A film pixel is ink or not, so a dot cut at pixel centres is a little too large or too small and
a little off its place, and since the dots of a tint meet the pixels in a slow beat, so does the
error. Where the tone is the same all over a cell and round it, its dot is therefore drawn: the
pixels on its edge are rounded a few at a time round its middle, and what is printed short is
carried on to the next. Dots then differ from what they should be by less than a pixel in area and
very little in place, and what is left goes by the cell's turn in a tile of blue noise, so that it
makes no beat.
Where tones change from pixel to pixel, as in photographs, dots stay as they are cut.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from preflight.press.halftone_spec import HalftoneSpec
from separations.halftone.blue_noise import cell_thresholds, tile_shift
from separations.halftone.cell_lattice import cell_places, repeat_pixels
from separations.halftone.cell_states import BLOCK_BITS, blocks_of
from separations.halftone.film_content import FilmContent
from separations.halftone.film_spot import drawn_spot
from separations.halftone.spot_levels import SPOT_SCALE
from separations.halftone.tone_levels import (
    CLEAR_LEVEL,
    SOLID_TONE,
    held_ends,
    tone_levels,
)

#: Dots are drawn at this many places along a film pixel.
FINER = 16
#: The most levels of a film that are drawn: the commonest.
_MOST_LEVELS = 64
#: Places in tables are whole numbers of 32 bits, eight to a pixel: so many drawn pixels, and
#: together with the film's rows twice as many, are in reach.
_MOST_PIXELS = 2**27
_NOWHERE = -(2**31)


class EvenDots(NamedTuple):
    """The drawn dots of a film and where they go; compiled loops take it as it is.

    Attributes
    ----------
    offsets : NDArray of int32, shape (2, cells across × cells along)
        For dots (0) and holes (1), where each cell's drawing is; see `lay_places`.
    width, side : int
        Cells along; pixels along a drawing.
    drawings : NDArray of uint8, shape (pixels of all drawings,)
        Bit k is the pixel in the k-th of eight roundings.
    row_places, column_places : NDArray of int32, shapes (film rows, 2), (2, film columns)
        Their sums are the position (u, v) from the first cell, in 2⁻¹⁵ periods.
    marks : NDArray of uint8, shape (block rows, block columns)
        Whether a block of 64 × 64 film pixels may meet a drawn dot (1) or hole (2).
    """

    offsets: NDArray[np.int32]
    width: int
    side: int
    drawings: NDArray[np.uint8]
    row_places: NDArray[np.int32]
    column_places: NDArray[np.int32]
    marks: NDArray[np.uint8]


def no_even_dots() -> EvenDots:
    """Nothing is drawn."""
    return EvenDots(offsets=np.zeros((2, 0), np.int32), width=0, side=0,
                    drawings=np.zeros(0, np.uint8), row_places=np.zeros((0, 2), np.int32),
                    column_places=np.zeros((2, 0), np.int32), marks=np.zeros((0, 0), np.uint8))


def even_dots(content: FilmContent) -> EvenDots:
    """Draw the dots of a film's flat tints; `no_even_dots` where it has none.

    Cells of whole numbers of pixels at right angles have no beat and are left alone, as are
    tones that thinned dots print.
    """
    from separations.halftone.cell_states_kernel import PlacedCells
    from separations.halftone.even_dots_kernel import (
        FLAT_PERIODS,
        find_flat_blocks,
        flat_levels,
        lay_places,
    )

    spec, grid, scale = content.spec, content.film_grid, content.scale
    side = math.ceil(spec.cell_pixels * math.sqrt(2)) + 4
    if repeat_pixels(spec) is not None or (grid.rows + side) * side > _MOST_PIXELS:
        return no_even_dots()
    scales = (grid.pixel_mm / content.tone_grid.pixel_mm / scale.along,
              grid.pixel_mm / content.tone_grid.pixel_mm / scale.across)
    tones, drawn = np.ascontiguousarray(content.tones), _drawn_tones(spec)
    block = max(1, int(FLAT_PERIODS * spec.cell_pixels * min(scales)))
    blocks = np.zeros([(count - 1) // block + 1 for count in tones.shape], np.bool_)
    if not find_flat_blocks(tones, drawn, block, blocks):
        return no_even_dots()
    places = cell_places(spec, grid)
    found = np.full((2, *places.shape), CLEAR_LEVEL, np.int16)
    marks = np.zeros(((grid.rows >> BLOCK_BITS) + 1, (grid.columns >> BLOCK_BITS) + 1), np.uint8)
    flat_blocks = (blocks, *blocks_of(tones.shape, block))
    flat_levels(
        tones, flat_blocks, tone_levels(spec), drawn,
        PlacedCells(
            steps=places.steps, scale=scales,
            offset=(content.tone_grid.row_of(grid.top_x_mm / scale.along),
                    content.tone_grid.column_of(grid.left_y_mm / scale.across)),
            film=(grid.rows, grid.columns, spec.cell_pixels)), found, marks)
    if not marks.any():
        return no_even_dots()
    levels, counts = np.unique(found[found != CLEAR_LEVEL], return_counts=True)
    most = min(_MOST_LEVELS, _MOST_PIXELS // (FINER * side) ** 2)
    levels = np.sort(levels[np.argsort(-counts, kind="stable")[:most]])
    numbers = np.full(2**16, -1, np.int32)
    numbers[levels.astype(np.uint16)] = np.arange(len(levels))
    offsets = np.full(found.shape, _NOWHERE, np.int32)
    used = np.zeros((len(levels), FINER, FINER), np.bool_)
    thresholds = cell_thresholds()
    shift_v, shift_u = tile_shift(spec.pattern, len(thresholds))
    lay_places(
        found, numbers,
        np.roll(thresholds, (-places.first_v - shift_v, -places.first_u - shift_u), axis=(0, 1)),
        places.steps, side, FINER, offsets, used)
    return EvenDots(
        offsets=offsets.reshape(2, -1), width=places.shape[1], side=side,
        drawings=_drawings(spec, side, levels, used),
        row_places=places.row_places, column_places=places.column_places, marks=marks)


def _drawn_tones(spec: HalftoneSpec) -> tuple[int, int]:
    """First and last tone whose dots are drawn."""
    if spec.small_dots != "thin":
        return 1, SOLID_TONE - 1
    ends = held_ends(spec)
    return (max(math.ceil(ends.smallest * SOLID_TONE), 1),
            min(math.floor(ends.largest * SOLID_TONE), SOLID_TONE - 1))


def _drawings(spec: HalftoneSpec, side: int, levels: NDArray[np.int16],
              used: NDArray[np.bool_]) -> NDArray[np.uint8]:
    """The drawings of all levels, one after the other; those that no cell has are left empty."""
    from separations.halftone.dot_drawing_kernel import draw_dots

    spot = drawn_spot(spec)
    drawings = np.zeros((len(levels), FINER, FINER, side, side), np.uint8)
    angle = math.radians(spec.angle_deg)
    for level, wanted, drawing in zip(levels.tolist(), used, drawings, strict=True):
        draw_dots(spot, (math.cos(angle), math.sin(angle), spec.cell_pixels), level / SPOT_SCALE,
                  level <= 0, wanted, drawing)
    return drawings.reshape(-1)
