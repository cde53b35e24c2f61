"""Highlights and shadows that hold no detail because they ran into the end of the scale."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preflight.photo_quality.detail_windows import Tiling

#: Levels of 255 within which a channel has run out; JPEG moves it by a level or two.
_END_LEVELS = 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Clipping:
    """Shares of the picture at either end.

    Attributes
    ----------
    blown, blocked : float
        Shares (0 to 1) of the pixels that are seen: those white, or black, in all channels, with
        neighbours that are so too.
    local_blown, local_blocked : ndarray of float64, shape of the tiling
        The same by tile.
    """

    blown: float
    blocked: float
    local_blown: NDArray[np.float64]
    local_blocked: NDArray[np.float64]


def clipping(colour: NDArray[Any], tiles: Tiling, *, top: int = 255,
             wanted: NDArray[np.bool_] | None = None,
             hidden: NDArray[np.bool_] | None = None) -> Clipping:
    """Count the pixels that have run into white or black.

    Parameters
    ----------
    colour : ndarray of uint8 or uint16, shape (rows, columns, channels)
        Every second pixel of every second row is looked at; a lone one does not count.
    tiles : Tiling
        For the local map.
    top : int
        Greatest value.
    wanted : ndarray of bool, shape of the tiling, optional
        Tiles that matter.
    hidden : ndarray of bool, shape (rows, columns), optional
        Pixels that are wholly transparent, and so neither white nor black.
    """
    end = round(_END_LEVELS * top / 255)
    step = 2 if min(colour.shape[:2]) >= 8 else 1
    few = colour[::step, ::step]
    light, dark = few[:, :, 0] >= top - end, few[:, :, 0] <= end
    for channel in range(1, few.shape[2]):
        light &= few[:, :, channel] >= top - end
        dark &= few[:, :, channel] <= end
    areas = tiles.areas_px(*colour.shape[:2])
    if hidden is not None:
        unseen = hidden[::step, ::step]
        light, dark = light & ~unseen, dark & ~unseen
        areas = areas * (1 - tiles.shares(unseen, step))
    maps = [tiles.shares(_with_neighbours(part), step) for part in (light, dark)]
    inside = np.ones(maps[0].shape) if wanted is None or not wanted.any() else wanted * 1.0
    whole = inside * tiles.areas_px(*colour.shape[:2])
    seen = max(float((inside * areas).sum()), 1e-9)
    blown, blocked = (float((part * whole).sum()) / seen for part in maps)
    return Clipping(blown=blown, blocked=blocked, local_blown=maps[0] * inside,
                    local_blocked=maps[1] * inside)


def _with_neighbours(marked: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Marked pixels that lie in some square of four that are all marked."""
    corner = marked.copy()
    corner[:, :-1] &= marked[:, 1:]
    corner[:, -1] = False
    corner[:-1] &= corner[1:]
    corner[-1] = False
    kept = corner.copy()
    kept[:, 1:] |= corner[:, :-1]
    kept[1:] |= kept[:-1].copy()
    return kept
