"""Beats told by their partners."""

from __future__ import annotations

import pytest

from separations.measuring.moire.beat_words import beat_told, dots_told


@pytest.mark.parametrize(("dots", "halves", "told"), [
    ((1, 0), (0, 2), "the rows of dots against the threads"),
    ((-1, 1), (2, -2), "the dots' diagonal rows against the threads' diagonals"),
    ((0, -3), (1, 1), "the rows of dots (three times as fine) against the threads' over and under"),
    ((2, -1), (4, 2), "slanting rows of dots (2 along, 1 across) against "
                      "slanting rows of mesh openings (2 along, 1 across)"),
])
def test_beats_in_words(dots: tuple[int, int], halves: tuple[int, int], told: str) -> None:
    assert beat_told(dots, halves) == told


def test_one_inks_part() -> None:
    assert dots_told((1, 1), "Cyan") == "Cyan's diagonal rows"
