"""A place on the board in words."""

from __future__ import annotations

import pytest

from preflight.findings import Place


@pytest.mark.parametrize(("x", "y", "told"), [
    (634.4, -142.4, "634 mm towards the nose, 142 mm right of the centre line"),
    (-60.6, 12.5, "61 mm towards the tail, 12 mm left of the centre line"),
    (778.0, -0.4, "778 mm towards the nose, on the centre line"),
    (-0.2, 0.0, "at mid-length, on the centre line"),
])
def test_a_place_is_told_from_mid_length_and_the_centre_line(
        x: float, y: float, told: str) -> None:
    place = Place(least_x_mm=x - 5, least_y_mm=y - 5, greatest_x_mm=x + 5, greatest_y_mm=y + 5)
    assert str(place) == told
