"""The board's insert holes in its proof: drilled whether ink lies there or not."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from shapely import union_all

from preflight.board.area_mask import coverage_mask
from preflight.board.fittings import Fittings
from preflight.board.keep_outs import disc
from preflight.raster_grid import RasterGrid

#: sRGB of a threaded hole seen from above; our own choice.
_HOLE_SRGB = (58, 57, 55)
_FULL = 65_535


def with_holes(board: NDArray[np.uint8], grid: RasterGrid, fittings: Fittings
               ) -> NDArray[np.uint8]:
    """The proof with every insert hole drawn in its true place and width.

    Parameters
    ----------
    board : NDArray of uint8, shape (columns, rows, 3)
        The board in sRGB, nose to the right.
    grid : RasterGrid
        Where its pixels lie, seen nose up.
    fittings : Fittings
        With the inserts.
    """
    holes = [disc(hole, pack.hole_mm) for pack in fittings.inserts for hole in pack.holes_mm]
    if not holes:
        return board
    share = np.rot90(coverage_mask(union_all(holes), grid), k=-1)[:, :, None] / np.float32(_FULL)
    drawn = board * (1 - share) + np.array(_HOLE_SRGB, np.float32) * share
    return np.ascontiguousarray(np.rint(drawn).astype(np.uint8))
