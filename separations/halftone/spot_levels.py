"""The level a spot must exceed for a share of the cell: each dot shape made ready to screen.

Two sums that occur among the shapes have their levels by formula, and films of them are computed
from the sum itself. Any other spot is ranked: a table of one cell says of each place how much of
the cell comes before it, so that heights fall evenly from 1 to −1 and the level of a share is a
straight line, whatever the function.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from preflight.press.dot_shapes import CosineSum, FoldedSum, Spot, spot_of

#: Spots are scaled to ±this where films are screened, so that there are whole numbers beyond.
SPOT_SCALE = 32766
#: Places along a ranked cell: a power of two.
RANKED_PLACES = 1 << 10
#: Heights of a spot that agree to so many decimals rank alike.
_HEIGHT_DECIMALS = 9
_QUADRATURE_POINTS = 8192
_LEVELS_PER_PIECE = 1025


@dataclass(frozen=True, slots=True)
class CosineSpot:
    """A sum of cosines and its levels."""

    sum: CosineSum

    def height(self, u: ArrayLike, v: ArrayLike) -> NDArray[np.float64]:
        """Height (−1 to 1) at positions u, v (periods), any matching shapes."""
        return self.sum(np.asarray(u, np.float64), np.asarray(v, np.float64))

    def level_of_cover(self, cover: NDArray[np.float64]) -> NDArray[np.float64]:
        """Level (−1 to 1) that the share ``cover`` (0 to 1) of a cell exceeds; same shape.

        The share above a level is the mean over v of arccos of what cos 2πu must exceed: one
        smooth integral, taken at midpoints, tabulated more finely towards the levels where
        dots or holes meet (the distribution's kinks) and read backwards.
        """
        if min(self.sum.along, self.sum.across) == 0.0:
            return np.asarray(np.cos(np.pi * cover))
        share, levels = _shares_above(self.sum)
        return np.asarray(np.interp(cover, share[::-1], levels[::-1]))


@lru_cache(maxsize=16)
def _shares_above(spot: CosineSum) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Shares of a cell above rising levels, and the levels; not to be written to."""
    least, most = sorted((spot.along, spot.across))
    total = least + most
    kinks = np.unique([-1.0, -(most - least) / total, (most - least) / total, 1.0])
    ease = (1 - np.cos(np.linspace(0, np.pi, _LEVELS_PER_PIECE))) / 2
    levels = np.unique(np.concatenate(
        [low + (high - low) * ease for low, high in pairwise(kinks)]))
    middles = (np.arange(_QUADRATURE_POINTS) + 0.5) / _QUADRATURE_POINTS
    waves = least * np.cos(np.pi * middles)
    share = np.array([np.arccos(np.clip((level * total - waves) / most, -1, 1)).mean()
                      for level in levels]) / np.pi
    return share, levels


@dataclass(frozen=True, slots=True)
class FoldedSpot:
    """The folded sum and its levels."""

    sum: FoldedSum

    def height(self, u: ArrayLike, v: ArrayLike) -> NDArray[np.float64]:
        """Height (−1 to 1) at positions u, v (periods), any matching shapes."""
        return self.sum(np.asarray(u, np.float64), np.asarray(v, np.float64))

    def level_of_cover(self, cover: NDArray[np.float64]) -> NDArray[np.float64]:
        """Level (−1 to 1) that the share ``cover`` (0 to 1) of a cell exceeds; same shape."""
        half = np.sqrt(2 * np.minimum(cover, 1 - cover))
        return np.asarray(np.where(cover <= 0.5, 1 - half, half - 1))


@dataclass(frozen=True, slots=True, eq=False)
class RankedSpot:
    """Any spot, its heights replaced by their ranks.

    Attributes
    ----------
    ranks : NDArray of int16, shape (n, n)
        From `SPOT_SCALE` where ink goes first to its negative where it goes last, at the middles
        of n × n parts of a cell, along and across; the dot's middle lies in the corners of the
        table. Read-only.
    """

    ranks: NDArray[np.int16]

    def height(self, u: ArrayLike, v: ArrayLike) -> NDArray[np.float64]:
        """Height (−1 to 1) at positions u, v (periods), any matching shapes."""
        count = len(self.ranks)
        along, across = (np.floor(np.asarray(periods, np.float64) * count).astype(np.int64) % count
                         for periods in (u, v))
        return self.ranks[along, across] / SPOT_SCALE

    def level_of_cover(self, cover: NDArray[np.float64]) -> NDArray[np.float64]:
        """Level (−1 to 1) that the share ``cover`` (0 to 1) of a cell exceeds; same shape."""
        return np.asarray(1 - 2 * cover)


LevelledSpot = CosineSpot | FoldedSpot | RankedSpot


def levelled_spot(shape: str) -> LevelledSpot:
    """A dot shape's spot and its levels.

    Raises
    ------
    ValueError
        When there is no such shape, or it has no spot.
    """
    spot = spot_of(shape)
    if isinstance(spot, CosineSum):
        return CosineSpot(spot)
    if isinstance(spot, FoldedSum):
        return FoldedSpot(spot)
    return ranked_spot(spot)


@lru_cache(maxsize=8)
def ranked_spot(spot: Spot) -> RankedSpot:
    """Rank a spot's heights over one cell; places of one height go by their distance to the dot."""
    places = (np.arange(RANKED_PLACES) + 0.5) / RANKED_PLACES
    from_dot = places - np.round(places)
    u, v = from_dot[:, None], from_dot[None, :]
    shape = RANKED_PLACES, RANKED_PLACES
    heights = np.broadcast_to(spot(u, v), shape).round(_HEIGHT_DECIMALS)
    order = np.lexsort([np.broadcast_to(u**2 + v**2, shape).ravel(), -heights.ravel()])
    ranks = np.empty(order.size, np.int16)
    falling = 1 - 2 * (np.arange(order.size) + 0.5) / order.size
    ranks[order] = np.rint(SPOT_SCALE * falling)
    ranks.setflags(write=False)
    return RankedSpot(ranks.reshape(shape))
