"""Spread and choke: which of two touching inks runs under the other, and how far."""

from __future__ import annotations

from dataclasses import dataclass

from shapely import Polygon

from preflight.board.area_mask import Area
from preflight.vector_art.ring_area import as_area

_ROUND = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class Trap:
    """Where two inks overlap so that no wood shows between them.

    Attributes
    ----------
    upper_gains : Polygon or MultiPolygon
        What the upper ink prints beyond its own area.
    lower_keeps : Polygon or MultiPolygon
        What the lower ink prints within the upper one's area, along their common edge.
    """

    upper_gains: Area
    lower_keeps: Area


def trap_between(
    lower: Area, upper: Area, *, lower_lightness: float, upper_lightness: float, width_mm: float
) -> Trap:
    """The trap between an area and one laid over it or beside it: lighter runs into darker.

    Parameters
    ----------
    lower : Polygon or MultiPolygon
        What stays visible of the lower ink: the upper one's area is not in it.
    upper : Polygon or MultiPolygon
        The upper ink's area, which is knocked out of the lower one.
    lower_lightness, upper_lightness : float
        CIELAB L* of the two as printed. Of equals the lower one runs under the upper.
    width_mm : float
        Width of the trap.

    Notes
    -----
    Common practice, no source: the darker of the two keeps its outline, since that is what the
    eye sees.
    """
    nothing = Polygon()
    if width_mm <= 0 or not lower.dwithin(upper, width_mm):
        return Trap(upper_gains=nothing, lower_keeps=nothing)
    if upper_lightness > lower_lightness:
        return Trap(upper_gains=as_area(spread(upper, width_mm).intersection(lower)),
                    lower_keeps=nothing)
    return Trap(upper_gains=nothing,
                lower_keeps=as_area(spread(lower, width_mm).intersection(upper)))


def spread(area: Area, by_mm: float) -> Area:
    """An area grown by so much all round."""
    return as_area(area.buffer(by_mm, quad_segs=_ROUND))


def choke(area: Area, by_mm: float) -> Area:
    """An area drawn in by so much all round; what is thinner than twice that is gone."""
    return as_area(area.buffer(-by_mm, quad_segs=_ROUND))
