"""The board among a drawing's rings; each way to be wrong has its sentence."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.board.outline_choice import chosen_ring
from preflight.board.outline_pieces import Piece, Points
from preflight.board.outline_rings import Chain, chain_pieces
from preflight.input_problem import InputProblem


def oval(length: float = 1600.0, width: float = 300.0, x: float = 0.0, y: float = 0.0) -> Points:
    angle = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    return np.column_stack([x + length / 2 * np.cos(angle), y + width / 2 * np.sin(angle)])


def box(length: float, width: float) -> Points:
    return np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * [length / 2, width / 2]


def choose(*rings: Points, layer: str | None = None, closed: bool = True,
           layers: tuple[str, ...] = (), mm_told: float = 1.0) -> tuple[Chain, tuple[str, ...]]:
    names = layers or ("0",) * len(rings)
    pieces = [Piece(ring, closed, (name,)) for ring, name in zip(rings, names, strict=True)]
    return chosen_ring(chain_pieces(pieces, 0.1, "a.dxf"), layer, 0.1, "a.dxf", mm_told=mm_told)


def sentence(*rings: Points, layer: str | None = None, closed: bool = True,
             layers: tuple[str, ...] = (), mm_told: float = 1.0) -> str:
    with pytest.raises(InputProblem) as caught:
        choose(*rings, layer=layer, closed=closed, layers=layers, mm_told=mm_told)
    return caught.value.sentence


def test_the_largest_ring_is_the_board() -> None:
    ring, remarks = choose(oval(20, 20), oval(), oval(30, 30, x=300))
    assert np.ptp(ring.points[:, 0]) == pytest.approx(1600)
    assert remarks == ("2 smaller closed rings in the drawing were left out.",)


def test_a_frame_round_the_board_is_not_it() -> None:
    ring, remarks = choose(box(1900, 700), box(1880, 680), oval())
    assert np.ptp(ring.points[:, 0]) == pytest.approx(1600)
    assert remarks[0] == ("A rectangle of 1900 × 700 mm round the drawing was taken for its "
                          "frame.")
    assert len(remarks) == 2
    plank, _ = choose(box(1500, 300), oval(20, 20))
    assert len(plank.points) == 4


def test_several_boards_are_refused() -> None:
    assert sentence(oval(), oval(y=400)) == (
        "a.dxf: found 2 closed rings that could be the board (1600 × 300 mm on '0', 1600 × 300 mm "
        "on '0'); the board's outline on a layer of its own, named by outline_layer, would do.")
    assert sentence(oval(), oval(1580, 280), layers=("Edge", "Core")) == (
        "a.dxf: found 2 closed rings that could be the board (1600 × 300 mm on 'Edge', 1580 × 280 "
        "mm on 'Core'); outline_layer with the name of one of these layers would do.")


def test_rings_within_the_outline_on_its_own_layer_are_told() -> None:
    ring, remarks = choose(oval(1580, 280), oval(), layer="0")
    assert np.ptp(ring.points[:, 0]) == pytest.approx(1600)
    assert remarks == ("1 ring nearly as large within the outline was left out; the outermost was "
                       "taken.",)


def test_an_outline_drawn_twice_is_one() -> None:
    _, remarks = choose(oval(), oval())
    assert remarks == ("1 line drawn twice in the drawing was taken once.",)


def test_a_gap_is_told_with_its_place_in_the_drawings_units() -> None:
    ring = oval()
    opened = np.concatenate([ring, ring[:1] + np.array([0.0, -0.45])])
    assert sentence(opened, closed=False, mm_told=25.4) == (
        "a.dxf: found an outline with a gap of 0.45 mm near (31.4961, -0.0177165), where 0.1 mm "
        'is allowed; a closed outline, or outline_gap = "0.5 mm", would do.')
    assert sentence(ring[:300], closed=False).startswith("a.dxf: found an outline with a gap of ")
    # A hole that does close is not taken for the board.
    assert "with a gap of" in sentence(opened, np.concatenate([oval(20, 20), [[10.0, 0.0]]]),
                                       closed=False)
    assert sentence(np.array([[0.0, 0.0], [900.0, 0.0]]), closed=False) == (
        "a.dxf: found no closed line; a closed outline would do.")


def test_a_ring_of_too_many_points_is_refused() -> None:
    angle = np.linspace(0, 2 * np.pi, 100_001, endpoint=False)
    assert sentence(np.column_stack([800 * np.cos(angle), 150 * np.sin(angle)])) == (
        "a.dxf: found an outline of 100,001 points; a line of at most 100,000 points, or curves, "
        "would do.")


def test_a_ring_that_crosses_itself_is_told_with_its_place() -> None:
    crossed = box(1600, 300)[[0, 1, 3, 2]]
    assert sentence(crossed, mm_told=10.0) == (
        "a.dxf: found an outline that crosses or touches itself near (0, 0); a line that runs once "
        "around the board would do.")
