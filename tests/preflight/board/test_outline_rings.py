"""Pieces joined into rings: order, direction, gaps, doubles, branches."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LinearRing, Polygon

from preflight.board.outline_pieces import Piece, Points
from preflight.board.outline_rings import Chained, chain_pieces
from preflight.input_problem import InputProblem


def oval(points: int = 400, length: float = 1600.0, width: float = 300.0) -> Points:
    angle = np.linspace(0, 2 * np.pi, points, endpoint=False)
    return np.column_stack([length / 2 * np.cos(angle), width / 2 * np.sin(angle)])


def cut(ring: Points, places: list[int]) -> list[Points]:
    """The ring cut at the given points, as open runs that share their ends."""
    closed = np.concatenate([ring, ring[:1]])
    at = sorted({0, *places, len(ring)})
    return [closed[a:b + 1] for a, b in pairwise(at)]


def joined(runs: list[Points], gap_mm: float = 0.1, *, closed: bool = False) -> Chained:
    return chain_pieces([Piece(run, closed, ("0",)) for run in runs], gap_mm, "a.dxf")


def same(ring: Points, other: Points) -> float:
    return float(LinearRing(ring).hausdorff_distance(LinearRing(other)))


@given(st.lists(st.integers(1, 399), max_size=12), st.randoms(use_true_random=False))
def test_any_cut_in_any_order_gives_the_ring_again(places: list[int], chance: object) -> None:
    runs = cut(oval(), places)
    runs = [run[::-1] if chance.random() < 0.5 else run for run in runs]  # type: ignore[attr-defined]
    chance.shuffle(runs)  # type: ignore[attr-defined]
    chained = joined(runs)
    assert len(chained.rings) == 1
    assert not chained.open_chains
    assert chained.rings[0].gaps_mm == ()
    assert len(chained.rings[0].points) == 400
    assert same(chained.rings[0].points, oval()) == 0.0


@given(st.floats(0.002, 0.09), st.integers(0, 3), st.booleans())
def test_gaps_and_overlaps_under_the_tolerance_are_closed(gap: float, at: int, lap: bool) -> None:
    runs = cut(oval(800), [200, 400, 600])
    way = runs[at][-1] - runs[at][-2]
    way /= np.linalg.norm(way)
    runs[at] = np.concatenate([runs[at][:-1], [runs[at][-1] + way * (gap if lap else -gap)]])
    chained = joined(runs)
    assert len(chained.rings) == 1
    assert list(chained.rings[0].gaps_mm) == pytest.approx([gap])
    assert Polygon(chained.rings[0].points).is_valid
    assert same(chained.rings[0].points, oval(800)) < gap


def test_wider_gaps_stay_open() -> None:
    runs = cut(oval(), [100, 200])
    runs[0] = runs[0][:-1]
    chained = joined(runs)
    assert not chained.rings
    assert len(chained.open_chains) == 1
    assert len(joined(runs, gap_mm=20.0).rings) == 1


def test_lines_shorter_than_the_tolerance_keep_their_shape() -> None:
    """An outline exploded into pieces of 0.05 mm."""
    ring = oval(4000, 60.0, 20.0)
    chained = joined(cut(ring, list(range(4000))))
    assert len(chained.rings) == 1
    assert same(chained.rings[0].points, ring) == 0.0


def test_doubles_are_taken_once_and_dead_ends_left() -> None:
    runs = cut(oval(), [130, 260])
    feeler = np.array([oval()[130], oval()[130] + [0.0, 80.0]])
    chained = joined([*runs, runs[1][::-1], runs[1].copy(), feeler])
    assert chained.doubles == 2
    assert len(chained.rings) == 1
    assert same(chained.rings[0].points, oval()) < 1e-9
    assert [len(chain.points) for chain in chained.open_chains] == [2]


def test_a_centre_line_between_the_tips_does_not_part_the_board() -> None:
    runs = cut(oval(), [200])
    chained = joined([*runs, np.array([[-800.0, 0.0], [800.0, 0.0]])])
    assert len(chained.rings) == 1
    assert chained.rings[0].meets
    assert same(chained.rings[0].points, oval()) < 1e-9


def test_a_line_as_short_as_its_gap_is_no_ring() -> None:
    chained = joined([np.array([[0.0, 0.0], [0.03, 0.04], [0.05, 0.0]])])
    assert not chained.rings


def test_far_too_many_lines_in_one_place_are_refused() -> None:
    angle = np.linspace(0, 6, 3000)
    runs = [np.array([[0.0, 0.0], [np.cos(a), np.sin(a)]]) for a in angle]
    with pytest.raises(InputProblem, match="far too many lines that end in one place"):
        joined(runs)
