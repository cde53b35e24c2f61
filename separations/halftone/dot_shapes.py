"""How a halftone dot grows: the spot function of each dot shape over one halftone cell.

A cell is one period of the halftone along (u) and across (v) its angle. The spot's height falls
from 1 in the middle of a dot to −1 in the middle of a hole; the film is inked wherever the
height exceeds a level, so shapes differ only in the outline of equal height.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from preflight.press.halftone_spec import DotShape

_QUADRATURE_POINTS = 8192
_LEVELS_PER_PIECE = 1025


@dataclass(frozen=True, slots=True, kw_only=True)
class CosineSpot:
    """Height (a cos 2πu + b cos 2πv) / (a + b).

    The two cosines split into products of a function of the film row and one of the film
    column, so whole bands are evaluated exactly at any angle.

    Attributes
    ----------
    along, across : float
        The weights a (of u, along the angle) and b (of v, across it); at least 0.
    """

    along: float
    across: float

    def height(self, u: ArrayLike, v: ArrayLike) -> NDArray[np.float64]:
        """Height (−1 to 1) at positions u, v (periods), any matching shapes."""
        waves = (self.along * np.cos(2 * np.pi * np.asarray(u, np.float64))
                 + self.across * np.cos(2 * np.pi * np.asarray(v, np.float64)))
        return np.asarray(waves / (self.along + self.across))

    def level_of_cover(self, cover: NDArray[np.float64]) -> NDArray[np.float64]:
        """Level (−1 to 1) that the share ``cover`` (0 to 1) of a cell exceeds; same shape.

        The share above a level is the mean over v of arccos of what cos 2πu must exceed: one
        smooth integral, taken at midpoints, tabulated more finely towards the levels where
        dots or holes meet (the distribution's kinks) and read backwards.
        """
        if min(self.along, self.across) == 0.0:
            return np.asarray(np.cos(np.pi * cover))
        share, levels = _shares_above(self)
        return np.asarray(np.interp(cover, share[::-1], levels[::-1]))


@lru_cache(maxsize=16)
def _shares_above(spot: CosineSpot) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
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


@dataclass(frozen=True, slots=True, kw_only=True)
class FoldedSpot:
    """Height 1 − 2 (|u| + |v|), with u and v folded to the nearest dot's middle.

    Its outlines are squares at every tone, corner to corner at 50 %.
    """

    def height(self, u: ArrayLike, v: ArrayLike) -> NDArray[np.float64]:
        """Height (−1 to 1) at positions u, v (periods), any matching shapes."""
        along, across = np.asarray(u, np.float64), np.asarray(v, np.float64)
        from_dot = np.abs(along - np.round(along)) + np.abs(across - np.round(across))
        return np.asarray(1 - 2 * from_dot)

    def level_of_cover(self, cover: NDArray[np.float64]) -> NDArray[np.float64]:
        """Level (−1 to 1) that the share ``cover`` (0 to 1) of a cell exceeds; same shape."""
        half = np.sqrt(2 * np.minimum(cover, 1 - cover))
        return np.asarray(np.where(cover <= 0.5, 1 - half, half - 1))


Spot = CosineSpot | FoldedSpot


#: Weight of the wave along the angle of elliptical dots: they first touch at a tone value of
#: 42 % (along the angle) and for the second time at 58 % (across it).
ELLIPTICAL_WEIGHT = 0.82

#: The spot of each dot shape.
#:
#: ``round``: round dots, a checkerboard at 50 %, round holes; all four neighbours join at 50 %.
#: ``elliptical``: dots join into chains along the halftone's angle (its principal axis) first,
#: and the chains join each other later, so no tone makes both jumps. With a principal axis the
#: first link-up belongs at 40 % or more and the second at 60 % or less
#: (ISO 12647-2:2004, 4.2.2.4: from memory, unverified).
#: ``square``: squares at every tone, corner to corner at 50 %.
#: ``line``: lines along the halftone's angle.
#:
#: Squares and lines have straight edges: at 0° and 90°, in cells of a whole number n of pixels,
#: whole rows of pixels switch at once, and tones come in steps of about 1/n.
DOT_SHAPES: dict[DotShape, Spot] = {
    "round": CosineSpot(along=1.0, across=1.0),
    "elliptical": CosineSpot(along=ELLIPTICAL_WEIGHT, across=1.0),
    "square": FoldedSpot(),
    "line": CosineSpot(along=0.0, across=1.0),
}
