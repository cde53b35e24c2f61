"""A place on a board where words cover no hole, ring or centre line."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from shapely.geometry import Polygon, box
from shapely.ops import unary_union

_STEP_MM = 5.0
_CLEAR_MM = 3.0


def free_place(within: Sequence[Polygon], taken: Sequence[Polygon], first_mm: tuple[float, float],
               size_mm: tuple[float, float]) -> tuple[float, float]:
    """The upper left corner of a block that lies on the board and on nothing taken.

    Parameters
    ----------
    within : sequence of Polygon
        Where it may lie (mm): the first is tried everywhere before the next.
    taken : sequence of Polygon
        What must not be written over.
    first_mm : tuple of float
        The corner that would be best; the nearest free one is taken, and this one if none is.
    size_mm : tuple of float
        The block's length along and across.
    """
    obstacles = unary_union([one.buffer(_CLEAR_MM) for one in taken])
    x0, y0 = first_mm
    for area in within:
        least_x, least_y, most_x, most_y = area.bounds
        places = [(x0, y0), *((float(x), float(y)) for x in np.arange(least_x, most_x, _STEP_MM)
                              for y in np.arange(most_y, least_y, -_STEP_MM))]
        for x, y in sorted(places, key=lambda at: abs(at[0] - x0) + abs(at[1] - y0)):
            block = box(x, y - size_mm[1], x + size_mm[0], y)
            if area.contains(block) and not block.intersects(obstacles):
                return x, y
    return first_mm
