"""Which of a drawing's rings is the board, and whether it is sound."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
from shapely import minimum_rotated_rectangle
from shapely.geometry import LinearRing, MultiPoint, Polygon
from shapely.validation import explain_validity

from preflight.board.board_outline import SHORTEST_BOARD_MM
from preflight.board.outline_pieces import Piece, Points
from preflight.board.outline_rings import Chain, Chained
from preflight.input_problem import InputProblem
from preflight.nouns import counted

#: A ring of at least this share of the greatest one's area could be the board too. Own rule.
_COULD_BE = 0.5
#: A line so many times as long as the greatest ring makes that ring a hole in it. Own rule.
_DWARFS_TIMES = 4.0
#: A ring that fills its rectangle by this much is one; a frame is at most so much longer than
#: what it frames (times). Own rules.
_RECTANGLE = 0.999
_FRAME_TIMES = 5.0
#: A board is flat to this (mm), or its drawing is one in space.
_FLAT_MM = 0.1
_MOST_NAMED = 6
#: A point each 0.04 mm round a board; more come from no drawing and slow all that follows.
_MOST_RING_POINTS = 100_000


def on_layer(pieces: Sequence[Piece], layer: str | None, where: str) -> tuple[Piece, ...]:
    """The pieces of a layer, by its name in any case of letters; all where none is named.

    Raises
    ------
    InputProblem
        When nothing lies on that layer, or there is nothing at all.
    """
    if not pieces:
        raise InputProblem(where=where, found="no line or curve",
                           would_do="a drawing with the board's outline")
    if layer is None:
        return tuple(pieces)
    wanted = layer.strip().casefold()
    kept = tuple(p for p in pieces if wanted in {name.casefold() for name in p.layers})
    if not kept:
        names = sorted({name for piece in pieces for name in piece.layers if name})
        raise InputProblem(where=where, found=f"no lines on a layer '{layer}'",
                           would_do=_one_of(names))
    return kept


def chosen_ring(chained: Chained, layer: str | None, gap_mm: float, where: str, *, mm_told: float
                ) -> tuple[Chain, tuple[str, ...]]:
    """The ring that is the board, and what was assumed.

    Parameters
    ----------
    chained : Chained
        All rings and open chains of the drawing, or of one of its layers.
    layer : str or None
        The layer, where the job names one.
    gap_mm : float
        The gaps that were allowed (mm).
    where : str
        The drawing, for faults.
    mm_told : float
        Millimetres in one unit of the drawing, for places told in the drawing's own units.

    Raises
    ------
    InputProblem
        When no ring closes, several could be the board, or the ring crosses itself or is no
        flat one.
    """
    rings = sorted(chained.rings, key=_extent_area, reverse=True)
    holes_only = bool(rings) and longest_mm(rings[0]) < SHORTEST_BOARD_MM and \
        open_dwarfs_closed(chained)
    _need_closed([] if holes_only else rings, chained.open_chains, gap_mm, where, mm_told)
    remarks: list[str] = []
    if chained.doubles:
        remarks.append(f"{counted(chained.doubles, 'line')} drawn twice in the drawing "
                       f"{'was' if chained.doubles == 1 else 'were'} taken once.")
    rings = _without_frames(rings, remarks)
    best, others = rings[0], rings[1:]
    rivals = [r for r in others if _extent_area(r) >= _COULD_BE * _extent_area(best)]
    if rivals:
        _need_one(best, rivals, layer, where, remarks)
    left = len(others) - len(rivals)
    if left:
        remarks.append(f"{counted(left, 'smaller closed ring')} in the drawing "
                       f"{'was' if left == 1 else 'were'} left out.")
    if best.meets:
        remarks.append("Other lines of the drawing meet the outline; the outermost path was taken.")
    if best.rise_mm > _FLAT_MM:
        raise InputProblem(where=where, found=f"an outline that rises by {best.rise_mm:.4g} mm",
                           would_do="a flat drawing, in plan or developed,")
    if len(best.points) > _MOST_RING_POINTS:
        raise InputProblem(where=where, found=f"an outline of {len(best.points):,} points",
                           would_do=f"a line of at most {_MOST_RING_POINTS:,} points, or curves,")
    _need_simple(best.points, where, mm_told)
    if best.gaps_mm:
        wide = max(best.gaps_mm)
        remarks.append(
            f"{counted(len(best.gaps_mm), 'gap')} in the outline, up to {wide:.2g} mm wide, "
            f"{'was' if len(best.gaps_mm) == 1 else 'were'} closed.")
    return best, tuple(remarks)


def longest_mm(chain: Chain) -> float:
    """The longer side of the box round a chain (mm)."""
    return float(np.ptp(chain.points, axis=0).max())


def open_dwarfs_closed(chained: Chained) -> bool:
    """Whether a line that stayed open is so much longer than every ring that those are holes."""
    ring_mm = max(map(longest_mm, chained.rings), default=0.0)
    return any(longest_mm(chain) > _DWARFS_TIMES * ring_mm for chain in chained.open_chains)


def _extent_area(ring: Chain) -> float:
    """Area of the convex hull (mm²): a ring that crosses itself still counts in full."""
    return float(MultiPoint(ring.points).convex_hull.area)


def _need_closed(rings: list[Chain], loose: Sequence[Chain], gap_mm: float, where: str,
                 mm_told: float) -> None:
    """Refuse a drawing whose greatest line has two loose ends."""
    open_hulls = [(_extent_area(chain), chain) for chain in loose]
    area, chain = max(open_hulls, key=lambda one: (one[0], longest_mm(one[1])),
                      default=(0.0, None))
    if rings and (chain is None or area <= _extent_area(rings[0])):
        return
    if chain is None or (area == 0.0 and len(loose) == 1):
        raise InputProblem(where=where, found="no closed line", would_do="a closed outline")
    first, last = chain.points[0], chain.points[-1]
    parted = [float(np.linalg.norm(first - last))]
    spot = last
    for other in loose:
        if other is not chain:
            for end in (other.points[0], other.points[-1]):
                away = float(min(np.linalg.norm(end - first), np.linalg.norm(end - last)))
                if away < min(parted):
                    spot = end
                parted.append(away)
    gap = min(parted)
    raise InputProblem(
        where=where, found=f"an outline with a gap of {gap:.3g} mm near {_spot(spot, mm_told)}, "
        f"where {gap_mm:g} mm is allowed",
        would_do="a closed outline" + (f", or outline_gap = \"{_rounded_up(gap):g} mm\"" if
                                       gap < 5.0 else "") + ",")


def _rounded_up(gap: float) -> float:
    return float(np.ceil(gap * 10.0 + 1e-9) / 10.0)


def _without_frames(rings: list[Chain], remarks: list[str]) -> list[Chain]:
    """The rings, greatest first, without rectangles drawn round them."""
    while len(rings) > 1 and _is_frame(rings[0], rings[1:]):
        extent = np.ptp(rings[0].points, axis=0)
        remarks.append(f"A rectangle of {extent[0]:.5g} × {extent[1]:.5g} mm round the drawing was "
                       "taken for its frame.")
        rings = rings[1:]
    return rings


def _is_frame(ring: Chain, others: list[Chain]) -> bool:
    shape = Polygon(ring.points)
    hull = minimum_rotated_rectangle(shape)
    if not shape.is_valid or hull.area == 0.0 or shape.area < _RECTANGLE * hull.area:
        return False
    longest = longest_mm(ring)
    return any(longest_mm(other) * _FRAME_TIMES >= longest
               and shape.contains(MultiPoint(other.points)) for other in others)


def _need_one(best: Chain, rivals: list[Chain], layer: str | None, where: str,
              remarks: list[str]) -> None:
    """Refuse a choice that another layer's name would settle, or that nothing settles."""
    all_of_them = [best, *rivals]
    told = [f"{_size(ring)} on '{ring.layers[-1]}'" if ring.layers and ring.layers[-1]
            else _size(ring) for ring in all_of_them[:_MOST_NAMED]]
    found = f"{len(all_of_them)} closed rings that could be the board ({', '.join(told)})"
    names = [ring.layers[-1] for ring in all_of_them if ring.layers]
    if layer is None and len(set(names)) > 1:
        raise InputProblem(where=where, found=found, would_do="outline_layer with the name of "
                           "one of these layers")
    shape = Polygon(best.points)
    if not shape.is_valid or not all(shape.covers(MultiPoint(r.points)) for r in rivals):
        raise InputProblem(where=where, found=found, would_do="the board's outline on a layer of "
                           "its own, named by outline_layer,")
    remarks.append(f"{counted(len(rivals), 'ring')} nearly as large within the outline "
                   f"{'was' if len(rivals) == 1 else 'were'} left out; the outermost was taken.")


def _need_simple(points: Points, where: str, mm_told: float) -> None:
    shape = Polygon(points)
    if shape.is_valid and shape.area > 0.0 and LinearRing(points).is_simple:
        return
    spot = re.search(r"\[(\S+) (\S+)\]", explain_validity(shape))
    near = "" if spot is None else \
        f" near {_spot(np.array([float(spot[1]), float(spot[2])]), mm_told)}"
    raise InputProblem(where=where, found=f"an outline that crosses or touches itself{near}",
                       would_do="a line that runs once around the board")


def _spot(point_mm: Points, mm_told: float) -> str:
    """A place in the drawing's own units, as its program shows it (y up)."""
    return f"({point_mm[0] / mm_told:.6g}, {point_mm[1] / mm_told:.6g})"


def _size(ring: Chain) -> str:
    extent = np.ptp(ring.points, axis=0)
    return f"{extent[0]:.5g} × {extent[1]:.5g} mm"


def _one_of(names: Sequence[str]) -> str:
    shown = ", ".join(f"'{name[:30]}'" for name in names[:12])
    return f"one of {shown}{' …' if len(names) > 12 else ''}" if names else "a drawing with layers"
