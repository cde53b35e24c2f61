"""The job's photographs as they lie on the board, small, and the colours in them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preflight.art.art_plane import photo_plane
from preflight.art.source_colour import SourceColour
from preflight.board.area_mask import coverage_mask
from preflight.raster_grid import RasterGrid, grid_over
from preflight.units import MM_PER_INCH
from separations.ink_choice.representative_colours import WeightedColours
from separations.planes.laid_out_job import LaidOutJob

_HALF_COVER = 128
_HALF_INSIDE = 32_768
#: Bits of each channel by which pixels are counted together; their mean colour is kept.
_BITS = 5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PhotoLayer:
    """One photograph on the board's grid.

    Attributes
    ----------
    rgb : ndarray of uint8 or uint16, shape (rows, columns, 3)
        In the photograph's own encoding.
    shown : ndarray of bool, shape (rows, columns)
        Where it prints: within the printed area, beneath no later photograph.
    colour : SourceColour
        What its numbers mean.
    """

    rgb: NDArray[np.uint8] | NDArray[np.uint16]
    shown: NDArray[np.bool_]
    colour: SourceColour


def photo_layers(laid: LaidOutJob, ppi: float) -> tuple[tuple[PhotoLayer, ...], RasterGrid]:
    """The photographs that show, first laid first, and the grid on which they lie."""
    grid = grid_over(laid.area.image_bounds, MM_PER_INCH / ppi)
    free = coverage_mask(laid.area.printed, grid) >= _HALF_INSIDE
    layers: list[PhotoLayer] = []
    for art in reversed([art for art in laid.art if art.table.kind == "photo"]):
        seen = photo_plane(art.artwork, art.placed, grid)
        shown = free & (seen.cover >= _HALF_COVER)
        free = free & ~shown
        if shown.any():
            layers.append(PhotoLayer(rgb=seen.rgb, shown=shown, colour=art.artwork.colour))
    return tuple(reversed(layers)), grid


def colours_of(layers: tuple[PhotoLayer, ...]) -> WeightedColours:
    """All colours that show, as the photographs have them: Lab D50 with shares of the area.

    Pixels that agree in the first five bits of each channel count as one, of their mean colour.
    """
    labs, counts = [], []
    for layer in layers:
        top = np.iinfo(layer.rgb.dtype).max
        pixels = layer.rgb[layer.shown].astype(np.float64) / top
        cells = np.minimum((pixels * (1 << _BITS)).astype(np.int64), (1 << _BITS) - 1)
        keys = (cells[:, 0] << 2 * _BITS) | (cells[:, 1] << _BITS) | cells[:, 2]
        count = np.bincount(keys, minlength=1 << 3 * _BITS)
        there = count > 0
        means = np.stack([np.bincount(keys, pixels[:, channel], minlength=len(count))[there]
                          for channel in range(3)], axis=1) / count[there, None]
        labs.append(layer.colour.lab(means))
        counts.append(count[there].astype(np.float64))
    shares = np.concatenate(counts)
    return WeightedColours(lab=np.concatenate(labs), shares=shares / shares.sum())
