"""Those parts of an area, and of the gaps in it, that are narrower than some width."""

from __future__ import annotations

from shapely import get_parts, union_all

from preflight.board.area_mask import Area
from preflight.vector_art.ring_area import as_area

#: Corners as sharp as this are kept when an area is drawn in and out again.
_SHARP = 5.0
#: Drawn out by a little more than in, so that nothing is left of parts just wide enough.
_SLACK = 1.02


def narrower_than(area: Area, width_mm: float) -> Area:
    """Those parts of an area that are narrower than so much (mm); specks are left out.

    Notes
    -----
    Drawn in by half of it and out again, an area loses just these parts. Corners are kept sharp
    on the way, so that they do not count as thin.
    """
    half = width_mm / 2 * 0.999
    return _no_specks(area.difference(_moved(_moved(area, -half), half * _SLACK)), width_mm)


def gaps_narrower_than(area: Area, width_mm: float) -> Area:
    """Those gaps and holes in an area that are narrower than so much (mm); no specks."""
    half = width_mm / 2 * 0.999
    return _no_specks(_moved(_moved(area, half), -half * _SLACK).difference(area), width_mm)


def _moved(area: Area, by_mm: float) -> Area:
    return as_area(area.buffer(by_mm, join_style="mitre", mitre_limit=_SHARP))


def _no_specks(area: Area, width_mm: float) -> Area:
    """The parts of at least three quarters of a square of that width."""
    return as_area(union_all([part for part in get_parts(as_area(area))
                              if part.area >= 0.75 * width_mm**2]))
