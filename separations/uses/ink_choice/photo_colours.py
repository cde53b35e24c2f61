"""The job's photographs as they lie on the board, small, and the colours in them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preflight.art.art_plane import photo_plane
from preflight.art.source_colour import SourceColour
from preflight.board.area_mask import coverage_mask
from preflight.frames.raster_grid import RasterGrid, grid_over
from preflight.units import MM_PER_INCH
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


FloatArray = NDArray[np.float64]

_ROUNDS = 4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WeightedColours:
    """Colours and their shares.

    Attributes
    ----------
    lab : ndarray, shape (N, 3), float64
        Lab D50.
    shares : ndarray, shape (N,), float64
        Share of the picture, adding up to 1.
    """

    lab: FloatArray
    shares: FloatArray


def representative_colours(colours: WeightedColours, count: int) -> WeightedColours:
    """The given colours drawn together to at most ``count``.

    Parameters
    ----------
    colours : WeightedColours
        Any number of colours.
    count : int
        Most that are wanted, at least 1.

    Returns
    -------
    WeightedColours
        Each is the mean of those that it stands for.

    Notes
    -----
    The group with the greatest squared spread is cut across its longest axis at its mean, over
    and over; then each colour goes to its nearest mean, a few rounds (Lloyd). No chance in it.
    """
    lab, shares = colours.lab, colours.shares
    if len(lab) <= count:
        return colours
    groups = [np.arange(len(lab))]
    spreads = [_spread(lab, shares)]
    while len(groups) < count:
        widest = int(np.argmax(spreads))
        if spreads[widest] <= 0.0:
            break
        spreads[widest] = 0.0
        members = groups[widest]
        high = _beyond_mean(lab[members], shares[members])
        if high.any() and not high.all():
            groups[widest], apart = members[~high], members[high]
            groups.append(apart)
            spreads[widest] = _spread(lab[groups[widest]], shares[groups[widest]])
            spreads.append(_spread(lab[apart], shares[apart]))
    owner = np.empty(len(lab), np.intp)
    for number, members in enumerate(groups):
        owner[members] = number
    return _settled(colours, owner)


def nearest_rows(colours: WeightedColours, count: int) -> tuple[NDArray[np.intp], FloatArray]:
    """A few of the colours that stand for all: their rows (at most ``count``) and shares."""
    from scipy.spatial import cKDTree

    few = representative_colours(colours, count)
    rows = np.unique(np.asarray(cKDTree(colours.lab).query(few.lab)[1], np.intp))
    owner = np.asarray(cKDTree(colours.lab[rows]).query(colours.lab)[1], np.intp)
    return rows, np.bincount(owner, colours.shares, minlength=len(rows)).astype(np.float64)


def _settled(colours: WeightedColours, owner: NDArray[np.intp]) -> WeightedColours:
    from scipy.spatial import cKDTree

    means, total = _means(colours, owner)
    for _ in range(_ROUNDS):
        owner = np.asarray(cKDTree(means).query(colours.lab)[1], np.intp)
        means, total = _means(colours, owner)
    return WeightedColours(lab=means, shares=total / total.sum())


def _means(colours: WeightedColours, owner: NDArray[np.intp]) -> tuple[FloatArray, FloatArray]:
    total = np.bincount(owner, colours.shares).astype(np.float64)
    sums = [np.bincount(owner, colours.shares * colours.lab[:, axis]) for axis in range(3)]
    there = total > 0.0
    return np.stack(sums, axis=1)[there] / total[there, None], total[there]


def _spread(lab: FloatArray, shares: FloatArray) -> float:
    mean = np.average(lab, axis=0, weights=shares)
    return float(shares @ np.sum((lab - mean) ** 2, axis=1))


def _beyond_mean(lab: FloatArray, shares: FloatArray) -> NDArray[np.bool_]:
    apart = lab - np.average(lab, axis=0, weights=shares)
    longest = np.linalg.eigh((apart * shares[:, None]).T @ apart)[1][:, -1]
    return np.asarray(apart @ longest > 0.0)
