"""Where drawings are measured."""

from __future__ import annotations

import pytest
from shapely import Polygon, box, union_all

from separations.planes.drawn_facts import _place


def test_of_several_parts_the_largest_is_the_place() -> None:
    area = union_all([box(-90, 3, -89, 4), box(10, -5, 30, 5), box(50, 0, 52, 1)])
    place = _place(area)
    assert place is not None
    assert place.centre_mm == pytest.approx((20.0, 0.0))
    assert (place.least_x_mm, place.greatest_x_mm) == pytest.approx((10.0, 30.0))
    assert _place(Polygon()) is None
