"""Dot shapes: for each name its spot function, which says in what order a cell takes ink.

A cell is one period of the halftone along (u) and across (v) its angle, seen from its dot: u and v
go from −½ to ½, the dot's middle lies at (0, 0) and holes are left round the corners. Ink goes
where the spot is highest first. Only the order of its heights counts: which level a tone takes is
found by ranking the heights of a whole cell, so any function gives the tones asked for. Its middle
must be among the highest places of a cell, and the corners among the lowest.

A shape is added here alone: its function, and its name in `DOT_SHAPES`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Heights = NDArray[np.float64]
#: Heights at places (u, v), two arrays of one shape or of shapes that go together.
Spot = Callable[[Heights, Heights], Heights]

#: The shape of dots of one size that are scattered: no spot, no cell.
STOCHASTIC = "stochastic"
_LOOKED_AT = 64


@dataclass(frozen=True, slots=True, kw_only=True)
class CosineSum:
    """Height (a cos 2πu + b cos 2πv) / (a + b), from 1 in the middle to −1 in the corners.

    The two cosines split into products of a function of the film row and one of the film column,
    so that films of such dots are made faster than others. With a = b it is the spot that
    ISO 32000-1 calls CosineDot.

    Attributes
    ----------
    along, across : float
        The weights a (of u, along the angle) and b (of v, across it); at least 0.
    """

    along: float
    across: float

    def __call__(self, u: Heights, v: Heights) -> Heights:
        """Heights (−1 to 1) at any places, also of neighbouring cells."""
        waves = self.along * np.cos(2 * np.pi * u) + self.across * np.cos(2 * np.pi * v)
        return np.asarray(waves / (self.along + self.across))


@dataclass(frozen=True, slots=True)
class FoldedSum:
    """Height 1 − 2 (|u| + |v|), with u and v folded to the nearest dot's middle.

    A sum of a function of u and one of v, as `CosineSum` is, and so faster than others too.
    """

    def __call__(self, u: Heights, v: Heights) -> Heights:
        """Heights (−1 to 1) at any places, also of neighbouring cells."""
        from_dot = np.abs(u - np.round(u)) + np.abs(v - np.round(v))
        return np.asarray(1 - 2 * from_dot)


def euclidean(u: Heights, v: Heights) -> Heights:
    """Circles round the middle up to half, then circles left open round the corners.

    Source: ``Round`` of the predefined spot functions in ISO 32000-2:2020, Table 128 (Table 6.1 of
    the PDF Reference, 1.3 to 1.7), where x = 2u and y = 2v.
    """
    x, y = np.abs(2 * u), np.abs(2 * v)
    return np.asarray(np.where(x + y <= 1, 1 - (x**2 + y**2), (x - 1)**2 + (y - 1)**2 - 1))


def diamond(u: Heights, v: Heights) -> Heights:
    """Circles up to 22 %, diamonds from 28 to 70 %, and round holes above 77 %.

    The diamonds are a little longer along the angle: they touch along it at 42.5 % and across it
    at 57.5 %, so that no tone makes both jumps.
    Source: ``Diamond`` of the same table as `euclidean`; the tones are computed.
    """
    x, y = np.abs(2 * u), np.abs(2 * v)
    between = np.where(x + y <= 1.23, 1 - (0.85 * x + y), (x - 1)**2 + (y - 1)**2 - 1)
    return np.asarray(np.where(x + y <= 0.75, 1 - (x**2 + y**2), between))


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
#: ``euclidean`` and ``diamond``: see there.
#:
#: Squares and lines have straight edges: at 0° and 90°, in cells of a whole number n of pixels,
#: whole rows of pixels switch at once, and tones come in steps of about 1/n.
DOT_SHAPES: dict[str, Spot] = {
    "round": CosineSum(along=1.0, across=1.0),
    "elliptical": CosineSum(along=ELLIPTICAL_WEIGHT, across=1.0),
    "square": FoldedSum(),
    "line": CosineSum(along=0.0, across=1.0),
    "euclidean": euclidean,
    "diamond": diamond,
}


def spot_of(shape: str) -> Spot:
    """The spot of a periodic shape.

    Raises
    ------
    ValueError
        When the name is none of `DOT_SHAPES`.
    """
    if shape not in DOT_SHAPES:
        raise ValueError(f"'{shape}' is no dot shape that has a spot")
    return DOT_SHAPES[shape]


def shape_names() -> tuple[str, ...]:
    """All names that a halftone may have."""
    return (*DOT_SHAPES, STOCHASTIC)


def makes_lines(shape: str) -> bool:
    """Whether dots run together along the angle at every tone: all along it the spot is as high."""
    return shape != STOCHASTIC and _is_even_along(spot_of(shape))


@lru_cache(maxsize=32)
def _is_even_along(spot: Spot) -> bool:
    places = (np.arange(_LOOKED_AT) + 0.5) / _LOOKED_AT - 0.5
    heights = np.broadcast_to(spot(places[:, None], places[None, :]), (_LOOKED_AT, _LOOKED_AT))
    return not np.ptp(heights, axis=0).any()
