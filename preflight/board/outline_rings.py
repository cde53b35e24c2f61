"""Pieces of line joined end to end into chains, and chains into closed rings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree
from shapely import get_parts, polygonize, unary_union
from shapely.geometry import LineString, Polygon

from preflight.board.outline_pieces import Piece, Points
from preflight.input_problem import InputProblem

#: Ends nearer to each other than this (mm) are one point: what is left of rounding in a drawing.
EXACT_MM = 0.001
#: Ends that meet in one place; more are no drawing of a board. Own rule.
_MOST_MEETING = 64


class Chain(NamedTuple):
    """Pieces joined end to end.

    Attributes
    ----------
    points : NDArray of float64, shape (N, 2)
        In mm; a closed chain does not repeat its first point.
    closed : bool
        Whether its last point joins its first.
    layers : tuple of str
        Layers of all its pieces.
    gaps_mm : tuple of float
        Each gap that was closed (mm).
    rise_mm : float
        Greatest extent in z of a piece (mm).
    meets : bool
        Whether other lines branched off and the outermost way round was taken.
    """

    points: Points
    closed: bool
    layers: tuple[str, ...]
    gaps_mm: tuple[float, ...] = ()
    rise_mm: float = 0.0
    meets: bool = False


class Chained(NamedTuple):
    """All rings of a drawing, the chains that stayed open, and how many lines were doubles."""

    rings: tuple[Chain, ...]
    open_chains: tuple[Chain, ...]
    doubles: int


def chain_pieces(pieces: Sequence[Piece], gap_mm: float, where: str) -> Chained:
    """Join pieces into rings.

    Parameters
    ----------
    pieces : sequence of Piece
        In any order and direction.
    gap_mm : float
        Ends at most this far apart (mm) are joined.
    where : str
        The drawing, for faults.

    Raises
    ------
    InputProblem
        When far too many lines end in one place.

    Notes
    -----
    Ends that coincide are joined first, so that lines shorter than ``gap_mm`` keep their shape.
    At a closed gap both ends move to its middle, and what overlaps within ``gap_mm`` is cut off.
    """
    chains, doubles = _without_doubles([_chain_of(piece) for piece in pieces])
    for reach in (min(EXACT_MM, gap_mm), gap_mm):
        rings = [chain for chain in chains if chain.closed]
        chains = rings + _joined([c for c in chains if not c.closed], reach, where)
    rings = [chain for chain in chains if chain.closed]
    kept, loose = _without_dead_ends([c for c in chains if not c.closed], gap_mm, where)
    found = _outermost(kept, gap_mm, where)
    if kept and not found:
        loose += kept
    return Chained(tuple(rings + found), tuple(loose), doubles)


def _chain_of(piece: Piece) -> Chain:
    points = piece.points
    step = np.linalg.norm(np.diff(points, axis=0), axis=1)
    points = points[np.concatenate([[True], step > 0.0])]
    closed = piece.closed and len(points) > 2
    if closed and np.linalg.norm(points[0] - points[-1]) <= EXACT_MM:
        points = points[:-1]
    return Chain(points, closed and len(points) > 2, piece.layers, rise_mm=piece.rise_mm)


def _without_doubles(chains: list[Chain]) -> tuple[list[Chain], int]:
    """The chains that have a length, each line that was drawn twice only once."""
    kept: list[Chain] = []
    seen: dict[tuple[object, ...], list[Points]] = {}
    doubles = 0
    for chain in chains:
        if len(chain.points) < 2:
            continue
        points = chain.points
        if tuple(points[0]) > tuple(points[-1]) and not chain.closed:
            points = points[::-1]
        box = np.round(np.concatenate([points.min(axis=0), points.max(axis=0)]), 2)
        alike = seen.setdefault((len(points), chain.closed, *box.tolist()), [])
        if len(alike) < _MOST_MEETING and any(
                np.abs(points - other).max() <= EXACT_MM for other in alike):
            doubles += 1
            continue
        alike.append(points)
        kept.append(chain)
    return kept, doubles


def _nodes(chains: list[Chain], reach: float, where: str) -> NDArray[np.int64]:
    """The place where each end lies, (2 × chains,): starts at even indices, ends at odd ones."""
    ends = np.array([chain.points[at] for chain in chains for at in (0, -1)])
    tree = cKDTree(ends)
    if tree.count_neighbors(tree, reach) > _MOST_MEETING * len(ends):
        raise InputProblem(where=where, found="far too many lines that end in one place",
                           would_do="a drawing of the board's outline alone")
    pairs = tree.query_pairs(reach, output_type="ndarray")
    graph = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(ends),) * 2)
    return np.asarray(connected_components(graph, directed=False)[1], dtype=np.int64)


def _joined(chains: list[Chain], reach: float, where: str) -> list[Chain]:
    """The chains joined wherever exactly two ends meet."""
    if not chains:
        return []
    nodes = _nodes(chains, reach, where)
    order = np.argsort(nodes, kind="stable")
    first = np.searchsorted(nodes[order], np.arange(nodes.max() + 2))
    links = np.full(len(nodes), -1, dtype=np.int64)
    for start in first[:-1][np.diff(first) == 2]:
        one, other = order[start], order[start + 1]
        links[one], links[other] = other, one
    used = np.zeros(len(chains), dtype=bool)
    joined = []
    for entry in [*np.flatnonzero(links < 0), *range(0, len(nodes), 2)]:
        if used[entry // 2]:
            continue
        way = [int(entry)]
        used[entry // 2] = True
        while (onward := int(links[way[-1] ^ 1])) >= 0 and not used[onward // 2]:
            way.append(onward)
            used[onward // 2] = True
        joined.append(_strung(chains, way, closed=onward == way[0] and onward >= 0))
    return joined


def _strung(chains: list[Chain], way: list[int], *, closed: bool) -> Chain:
    """The chains entered at the given ends, one after the other, as one."""
    parts = [chains[end // 2].points[::-1] if end % 2 else chains[end // 2].points for end in way]
    gaps = [gap for end in way for gap in chains[end // 2].gaps_mm]
    if closed and len(parts) == 1 and _length(parts[0]) <= 3 * np.linalg.norm(
            parts[0][0] - parts[0][-1]):
        closed = False  # a line no longer than the gap is no ring
    for at in range(len(parts) if closed else len(parts) - 1):
        after = (at + 1) % len(parts)
        gap = float(np.linalg.norm(parts[at][-1] - parts[after][0]))
        if gap > EXACT_MM:
            gaps.append(gap)
            middle = (parts[at][-1] + parts[after][0]) / 2
            parts[at] = np.concatenate([_clear_of(parts[at], middle, gap), [middle]])
            parts[after] = np.concatenate(
                [[middle], _clear_of(parts[after][::-1], middle, gap)[::-1]])
        parts[at] = parts[at][:-1]
    points = np.concatenate(parts)
    return Chain(points, closed and len(points) > 2,
                 tuple(dict.fromkeys(name for end in way for name in chains[end // 2].layers)),
                 tuple(gaps), max(chains[end // 2].rise_mm for end in way))


def _clear_of(points: Points, middle: Points, reach: float) -> Points:
    """The points without those at the end that lie within ``reach`` of the middle of a gap."""
    last = len(points)
    while last > 1 and np.linalg.norm(points[last - 1] - middle) <= reach:
        last -= 1
    return points[:last]


def _length(points: Points) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def _without_dead_ends(chains: list[Chain], reach: float, where: str
                       ) -> tuple[list[Chain], list[Chain]]:
    """Chains that lead on at both ends, and those that do not."""
    if not chains:
        return [], []
    ends = _nodes(chains, reach, where).reshape(-1, 2)
    kept = np.ones(len(chains), dtype=bool)
    while True:
        count = np.bincount(ends[kept].ravel(), minlength=ends.max() + 1)
        dead = kept & (count[ends] == 1).any(axis=1)
        if not dead.any():
            break
        kept &= ~dead
    return ([c for c, k in zip(chains, kept, strict=True) if k],
            [c for c, k in zip(chains, kept, strict=True) if not k])


def _outermost(chains: list[Chain], reach: float, where: str) -> list[Chain]:
    """The outermost way round each net of chains that branch."""
    if not chains:
        return []
    nodes = _nodes(chains, reach, where)
    ends = np.array([chain.points[at] for chain in chains for at in (0, -1)])
    count = np.bincount(nodes)
    middles = np.stack([np.bincount(nodes, ends[:, axis]) / count for axis in (0, 1)], axis=1)
    lines, gaps = [], []
    for number, chain in enumerate(chains):
        here, there = middles[nodes[2 * number]], middles[nodes[2 * number + 1]]
        moved = float(max(np.linalg.norm(chain.points[0] - here),
                          np.linalg.norm(chain.points[-1] - there)))
        gaps += [*chain.gaps_mm, *([2 * moved] if 2 * moved > EXACT_MM else [])]
        lines.append(LineString(np.concatenate([[here], chain.points[1:-1], [there]])))
    faces = polygonize(list(get_parts(unary_union(lines))))
    whole = unary_union(list(get_parts(faces)))
    names = tuple(dict.fromkeys(name for chain in chains for name in chain.layers))
    return [Chain(np.asarray(part.exterior.coords)[:-1, :2], True, names, tuple(gaps),
                  max(chain.rise_mm for chain in chains), True)
            for part in get_parts(whole) if isinstance(part, Polygon)]
