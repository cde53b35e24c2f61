"""Strokes, counters and gaps of drawn letters whose sizes are known to a film pixel."""

from __future__ import annotations

import math

import cv2
import numpy as np
import pytest
from skimage.morphology import skeletonize

from separations.measuring.hold.bitmap_kernels import on_strokes
from separations.measuring.hold.letter_widths import (
    Bits,
    gap_px,
    hole_width,
    parts_of,
    stroke_width_px,
)


def disc(diameter: float, middle: tuple[float, float] = (40.3, 39.8), side: int = 80) -> Bits:
    row, column = np.mgrid[0:side, 0:side]
    return np.asarray(np.hypot(row - middle[0], column - middle[1]) < diameter / 2)


def bar(width: float, turn_deg: float, length: float = 80.0, side: int = 120) -> Bits:
    row, column = np.mgrid[0:side, 0:side] - side / 2 + 0.2
    cos, sin = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    across, along = row * cos + column * sin, column * cos - row * sin
    return np.asarray((np.abs(across) < width / 2) & (np.abs(along) < length / 2))


@pytest.mark.parametrize("counter", [4, 5, 6, 8, 11, 16])
def test_a_ring_has_its_counter_and_its_stroke(counter: int) -> None:
    hole = disc(counter)
    ring = disc(counter + 14) & ~hole
    found = hole_width(ring, hole)
    assert found is not None
    assert found.width_px == pytest.approx(counter, abs=1)
    assert (found.row, found.column) == pytest.approx((40.3, 39.8), abs=0.5)
    stroke = stroke_width_px(ring, np.ones_like(ring))
    assert stroke is not None
    assert stroke[0] == pytest.approx(7, abs=1)


@pytest.mark.parametrize("turn_deg", [0, 17, 45, 90])
@pytest.mark.parametrize("width", [3, 4, 6, 9])
def test_a_bar_is_as_wide_as_drawn_at_any_angle(width: int, turn_deg: float) -> None:
    drawn = bar(width, turn_deg)
    stroke = stroke_width_px(drawn, np.ones_like(drawn))
    assert stroke is not None
    assert stroke[0] == pytest.approx(width, abs=1.1)
    slot = hole_width(bar(60, turn_deg, 100) & ~drawn, drawn)
    assert slot is not None
    assert slot.width_px == pytest.approx(width, abs=1)


def test_the_thin_part_of_a_stroke_counts_and_its_corners_do_not() -> None:
    letter = np.zeros((100, 100), np.bool_)
    letter[10:90, 20:36] = True          # a stem with four right-angled corners
    assert stroke_width_px(letter, np.ones_like(letter)) == pytest.approx((16, 50, 28), abs=45)
    letter[48:52, 36:80] = True          # a thin arm
    found = stroke_width_px(letter, np.ones_like(letter))
    assert found is not None
    assert found[0] == pytest.approx(4, abs=1)
    assert found[2] > 36


def test_a_wedge_is_no_stroke() -> None:
    row, column = np.mgrid[0:120, 0:120]
    wedge = np.abs(column - 60) < (row - 10) * 0.3
    wedge[100:] = False
    found = stroke_width_px(wedge, np.ones_like(wedge))
    assert found is not None
    assert found[0] > 20


def test_a_stop_is_as_wide_as_its_disc_and_nothing_is_none() -> None:
    stop = disc(9)
    found = stroke_width_px(stop, np.ones_like(stop))
    assert found is not None
    assert found[0] == pytest.approx(9, abs=1.5)
    assert stroke_width_px(np.zeros_like(stop), np.ones_like(stop)) is None


def test_a_counter_that_the_film_closes_is_told_as_none_left() -> None:
    hole = disc(5)
    closed = hole_width(disc(20), hole)
    assert closed is not None
    assert closed.width_px == 0
    broken = disc(20) & ~hole
    broken[40, 40:] = False              # open to the rim: no counter on this bitmap
    assert hole_width(broken, hole) is None


@pytest.mark.parametrize("turns", range(4))
def test_a_counter_that_is_open_to_one_rim_is_none(turns: int) -> None:
    hole = disc(5)
    broken = disc(20) & ~hole
    broken[39:41, 40:] = False
    slot = np.ones((80, 80), np.bool_)  # the rest of the field is inked: the slot alone is open
    slot[39:41, 40:] = False
    for ink in (broken, slot & ~hole):
        assert hole_width(np.rot90(ink, turns), np.rot90(hole, turns)) is None


def test_gaps_and_parts() -> None:
    two = np.zeros((50, 60), np.bool_)
    two[10:40, 10:20] = True
    two[10:40, 27:40] = True
    assert gap_px(two & (np.arange(60) < 25), two & (np.arange(60) > 25))[0] == pytest.approx(7)
    labels, own = parts_of(two, two & (np.arange(60) < 25))
    assert own == {labels[20, 15]}


def _stroke_by_places(stroke: Bits, near: Bits) -> tuple[float, float, float]:
    """As `stroke_width_px` says it, place by place on the spine of the whole bitmap."""
    away = cv2.dilate(cv2.distanceTransform(stroke.astype(np.uint8), cv2.DIST_L2,
                                            cv2.DIST_MASK_PRECISE), np.ones((3, 3), np.uint8))
    spine = skeletonize(stroke) & near
    count, labels = cv2.connectedComponents((stroke & near).astype(np.uint8), connectivity=8)
    found = []
    for number in range(1, count):
        kept = []
        for r, c in np.argwhere(spine & (labels == number)):
            reach = math.ceil(2 * float(away[r, c]))
            around = away[max(r - reach, 0):r + reach + 1, max(c - reach, 0):c + reach + 1]
            if away[r, c] >= 0.8 * float(around.max()):
                kept.append((float(away[r, c]), int(r), int(c)))
        kept.sort()
        long = [k for k, (half, _, _) in enumerate(kept) if k + 1 >= 2 * half - 0.5]
        top = int(np.argmax(np.where(labels == number, away, 0)))
        r, c = divmod(top, stroke.shape[1])
        found.append((kept[long[0]][0], *kept[0][1:]) if long else (float(away[r, c]), r, c))
    half, row, column = min(found)
    return 2 * half - 0.5, row, column


@pytest.mark.parametrize("seed", range(6))
def test_strokes_are_those_of_the_whole_bitmaps_spine(seed: int) -> None:
    rng = np.random.default_rng(seed)
    drawn = np.zeros((150, 170), np.uint8)
    for _ in range(7):
        one, other = ((int(rng.integers(-10, 180)), int(rng.integers(-10, 160))) for _ in "ab")
        cv2.line(drawn, one, other, 1, int(rng.integers(2, 14)))
    stroke = drawn.astype(np.bool_)
    near = np.zeros_like(stroke)
    near[20:120, 30:100] = True
    assert stroke_width_px(stroke, near) == _stroke_by_places(stroke, near)


def test_a_place_beside_something_wider_is_no_stroke() -> None:
    away = np.ones((9, 12), np.float32)
    away[4, 9] = 1.3
    rows, columns = np.array([4, 4, 4, 0]), np.array([6, 7, 9, 0])
    chosen = np.empty(4, np.bool_)
    on_strokes(away, rows, columns, 2.0, 0.8, chosen)
    assert chosen.tolist() == [True, False, True, True]
