"""Which points lie in an area, asked so that other threads may ask at the same time.

Shapely prepares an area in its place when it is asked of points, and neither that nor asking an
area that is prepared is safe from two threads at a time: the heap is spoilt. Stages of a job share
areas and are made side by side, so a copy is asked.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from preflight.board.area_mask import Area


def points_within(area: Area, x_mm: ArrayLike, y_mm: ArrayLike) -> NDArray[np.bool_]:
    """Whether points lie in an area, its edge aside, an array of the shape of ``x_mm``."""
    own = shapely.from_wkb(shapely.to_wkb(area))
    return np.asarray(shapely.contains_xy(own, x_mm, y_mm), np.bool_)
