"""The ring of a board and its measures."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.board.board_outline import BoardOutline, anticlockwise, half_mirrored

DIAMOND = np.array([[100.0, 0.0], [0.0, 20.0], [-100.0, 0.0], [0.0, -20.0]])


def test_width_follows_the_ring() -> None:
    outline = BoardOutline(ring_mm=DIAMOND)
    assert outline.length_mm == 200.0
    assert outline.width_mm == 40.0
    assert outline.width_at(0.0) == 40.0
    assert outline.width_at(50.0) == pytest.approx(20.0)
    assert outline.width_at(-100.0) == 0.0
    assert outline.width_at(100.1) == 0.0
    assert outline.area_mm2 == pytest.approx(4000.0)


def test_width_at_an_upright_edge_is_the_whole_edge() -> None:
    box = np.array([[5.0, -2.0], [5.0, 2.0], [-5.0, 2.0], [-5.0, -2.0]])
    assert BoardOutline(ring_mm=box).width_at(5.0) == 4.0


def test_clockwise_ring_is_turned_over() -> None:
    assert np.array_equal(anticlockwise(DIAMOND), DIAMOND)
    assert np.array_equal(anticlockwise(DIAMOND[::-1]), DIAMOND)


def test_half_is_mirrored_without_doubling_the_tips() -> None:
    ring = half_mirrored(np.array([[100.0, 0.0], [0.0, 20.0], [-100.0, 0.0]]))
    assert np.array_equal(ring, DIAMOND)
    blunt = half_mirrored(np.array([[100.0, 5.0], [-100.0, 5.0]]))
    assert len(blunt) == 4
