"""Places on the board as areas, and the printed area without those that take no ink."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from shapely import union_all
from shapely.geometry import Point, Polygon

from preflight.board.area_mask import Area
from preflight.board.topsheet_area import TopsheetArea
from preflight.input_problem import InputProblem

#: Steps of a quarter circle: a disc of 100 mm is true to 0.002 mm.
_QUARTER_STEPS = 128


def disc(centre_mm: NDArray[np.float64], diameter_mm: float) -> Polygon:
    """A disc round a centre (x, y), shape (2,), both in mm."""
    return Point(*centre_mm).buffer(diameter_mm / 2, quad_segs=_QUARTER_STEPS)


def without_ink(area: TopsheetArea, kept_off: Iterable[Area], *, where: str) -> TopsheetArea:
    """The area with holes where no ink may lie; the same area where there are none.

    Parameters
    ----------
    area : TopsheetArea
        Of the board.
    kept_off : iterable of areas
        In board mm; they may overlap and reach over the edge.
    where : str
        What a fault names.

    Raises
    ------
    InputProblem
        When nothing is left to print on.
    """
    off = union_all(list(kept_off))
    if off.is_empty or not off.intersects(area.printed):
        return area
    printed = area.printed.difference(off)
    safe = area.safe.difference(off)
    if printed.area < 1.0 or safe.is_empty:
        raise InputProblem(where=where, found="keep-outs that leave nothing to print on",
                           would_do="smaller ones, or ink = \"over\"")
    return replace(area, printed=printed, safe=safe, uncut=area.printed)
