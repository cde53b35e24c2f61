"""Spread and choke: which of two touching inks runs under the other, and how far."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from shapely import Polygon, STRtree, get_parts, union_all

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
    opened = _grown_sharply(_grown_sharply(area, -half), half * _SLACK)
    thin = _no_specks(area.difference(opened), width_mm)
    if thin.is_empty:
        return thin
    # Now and then GEOS loses a whole stroke of a turned letter with sharp corners, never with
    # round ones; these lose corners, which sharp ones keep.
    rounded = as_area(area.buffer(-half).buffer(half * _SLACK))
    return _no_specks(thin.difference(rounded), width_mm)


def gaps_narrower_than(area: Area, width_mm: float) -> Area:
    """Those gaps and holes in an area that are narrower than so much (mm); no specks."""
    half = width_mm / 2 * 0.999
    closed = _grown_sharply(_grown_sharply(area, half), -half * _SLACK)
    return _no_specks(closed.difference(area), width_mm)


def _grown_sharply(area: Area, by_mm: float, limit: float = _SHARP) -> Area:
    with np.errstate(all="ignore"):  # where edges are in line GEOS divides by 0, to no effect
        return as_area(area.buffer(by_mm, join_style="mitre", mitre_limit=limit))


def _no_specks(area: Area, width_mm: float) -> Area:
    """The parts of at least three quarters of a square of that width."""
    return as_area(union_all([part for part in get_parts(as_area(area))
                              if part.area >= 0.75 * width_mm**2]))


#: Corners reach no further than so many times the trap.
_CORNER = 2.0
#: Shares of the trap by which an area may spread; the first that keeps its gaps open is taken.
_SHARES = (1.0, 0.75, 0.5, 0.25)
#: So much of an area (0 to 1) must stay open where it is cleared: the ends of strokes may go.
_STAYS_OPEN = 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class TrapRule:
    """How inks trap.

    Attributes
    ----------
    width_mm : float
        How far two inks overlap (mm); 0 for no trap.
    least_gap_mm : float
        What a spread leaves open of a gap (mm): the counters of letters, say.
    """

    width_mm: float
    least_gap_mm: float = 0.0


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


@dataclass(frozen=True, slots=True, kw_only=True)
class SplitSpread:
    """An area grown as far as its gaps allow, and drawn in by what is missing to the trap.

    Attributes
    ----------
    grown : Polygon or MultiPolygon
        What it prints.
    cleared : Polygon or MultiPolygon
        What is cleared beneath it.
    """

    grown: Area
    cleared: Area


def trap_between(lower: Area, upper: Area, rule: TrapRule, *, lower_lightness: float,
                 upper_lightness: float) -> Trap:
    """The trap between an area and one laid over it or beside it: lighter runs into darker.

    Parameters
    ----------
    lower : Polygon or MultiPolygon
        What stays visible of the lower ink: the upper one's area is not in it.
    upper : Polygon or MultiPolygon
        The upper ink's area, which is knocked out of the lower one.
    rule : TrapRule
        How far.
    lower_lightness, upper_lightness : float
        CIELAB L* of the two as printed. Of equals the lower one runs under the upper.

    Notes
    -----
    Common practice, no source: the darker of the two keeps its outline, since that is what the
    eye sees.
    """
    nothing = Polygon()
    if rule.width_mm <= 0 or not lower.dwithin(upper, rule.width_mm):
        return Trap(upper_gains=nothing, lower_keeps=nothing)
    edge = as_area(spread(lower, rule.width_mm).intersection(upper))
    if upper_lightness <= lower_lightness:
        return Trap(upper_gains=nothing, lower_keeps=edge)
    split = split_spread(upper, rule)
    return Trap(upper_gains=as_area(split.grown.intersection(lower)),
                lower_keeps=as_area(edge.difference(split.cleared)))


def split_spread(area: Area, rule: TrapRule) -> SplitSpread:
    """Grow an area by the trap, or by less where gaps in it would close.

    What lies in the way of each other, such as the letters of a word, grows by one measure. Where
    it grows by less than the trap, what is cleared beneath is drawn in by the rest, so that the
    inks overlap by the trap all the same; but by no more than leaves its strokes open, since
    letters that are not cleared cannot be read, while out of register they show a rim of wood.
    """
    if rule.width_mm <= 0:
        return SplitSpread(grown=area, cleared=area)
    grown, cleared = [], []
    parts = get_parts(area)
    tree = STRtree(parts)
    for cluster in get_parts(spread(area, rule.width_mm + rule.least_gap_mm / 2)):
        near = as_area(union_all(parts[tree.query(cluster, predicate="intersects")]))
        by_mm = rule.width_mm * next((share for share in _SHARES if gaps_narrower_than(
            near, 2 * share * rule.width_mm + rule.least_gap_mm).is_empty), 0.0)
        grown.append(spread(near, by_mm))
        cleared.append(_drawn_in(near, rule.width_mm - by_mm, rule.least_gap_mm))
    return SplitSpread(grown=as_area(union_all(grown)), cleared=as_area(union_all(cleared)))


def _drawn_in(area: Area, by_mm: float, least_mm: float) -> Area:
    """An area drawn in by as much of a measure as leaves its strokes so wide at least."""
    for share in _SHARES:
        least = share * by_mm + least_mm / 2
        if spread(choke(area, least), least).intersection(area).area >= _STAYS_OPEN * area.area:
            return choke(area, share * by_mm)
    return area


def spread(area: Area, by_mm: float) -> Area:
    """An area grown by so much all round, its corners kept."""
    return _moved(area, by_mm)


def choke(area: Area, by_mm: float) -> Area:
    """An area drawn in by so much all round; what is thinner than twice that is gone."""
    return _moved(area, -by_mm)


def _moved(area: Area, by_mm: float) -> Area:
    return area if by_mm == 0 else _grown_sharply(area, by_mm, _CORNER)
