"""What is told of drawn lines, notes and flats: where the worst part lies."""

from __future__ import annotations

from shapely import MultiPolygon, Polygon, box

from separations.planes.drawn_facts import _place


def test_a_finding_lies_at_the_largest_part() -> None:
    place = _place(MultiPolygon([box(0, 0, 1, 1), box(5, 6, 9, 9), box(20, 0, 21, 1)]))
    assert place is not None
    assert (place.least_x_mm, place.least_y_mm) == (5, 6)
    assert (place.greatest_x_mm, place.greatest_y_mm) == (9, 9)
    assert _place(Polygon()) is None
