"""The published tone curve of screen printing.

Source: "Half-tone printing process line", article 6566571 of a mesh maker (Sefar): film tone to
printed tone in fifteen rows, with a gain column. Beside 53 -> 59 it prints a gain of +8, which
is a slip: by subtraction it is +6.
"""

from __future__ import annotations

import numpy as np
import pytest

from separations.colour.tone_curve import PUBLISHED_SCREEN_CURVE

ROWS = [(1, 0, -1), (6, 2, -4), (11, 7, -4), (17, 15, -2), (22, 22, 0), (32, 35, 3), (40, 44, 4),
        (47, 53, 6), (53, 59, 6), (63, 76, 13), (69, 84, 15), (76, 89, 13), (83, 94, 11),
        (91, 98, 7), (99, 100, 1)]


@pytest.mark.parametrize(("film", "printed", "gain"), ROWS)
def test_rows(film: int, printed: int, gain: int) -> None:
    assert printed - film == gain
    found = float(PUBLISHED_SCREEN_CURVE.printed_tone(film / 100))
    assert found == pytest.approx(printed / 100, abs=1e-12)


def test_largest_gain_lies_where_it_is_told() -> None:
    film = np.linspace(0.0, 1.0, 1001)
    gain = PUBLISHED_SCREEN_CURVE.printed_tone(film) - film
    assert film[gain.argmax()] == pytest.approx(0.69, abs=0.03)
    assert (gain[(film > 0.0) & (film < 0.2)] < 0.0).all()
