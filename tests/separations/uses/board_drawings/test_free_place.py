"""Words on a template lie on the board and on nothing else."""

from __future__ import annotations

from shapely.geometry import Point, box

from separations.uses.board_drawings.free_place import free_place

BOARD = box(-250, -90, 250, 90)


def test_a_free_place_is_kept_and_a_taken_one_is_left() -> None:
    assert free_place([BOARD], [], (-100.0, 50.0), (120.0, 40.0)) == (-100.0, 50.0)
    holes = [Point(x, y).buffer(8) for x in (-90, -50) for y in (-20, 20)]
    x, y = free_place([BOARD], holes, (-100.0, 50.0), (120.0, 40.0))
    block = box(x, y - 40, x + 120, y)
    assert BOARD.contains(block)
    assert all(block.distance(hole) > 2.9 for hole in holes)


def test_no_free_place_leaves_the_first() -> None:
    assert free_place([BOARD], [BOARD], (-100.0, 50.0), (120.0, 40.0)) == (-100.0, 50.0)


def test_a_second_area_is_tried_where_the_first_is_too_small() -> None:
    assert free_place([box(-20, -20, 20, 20), BOARD], [], (-100.0, 50.0), (120.0, 40.0)) == (
        -100.0, 50.0)
