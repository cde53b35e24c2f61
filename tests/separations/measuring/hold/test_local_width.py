"""Widths of strips, discs and gaps on bitmaps whose widths are known."""

from __future__ import annotations

from dataclasses import asdict

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from separations.measuring.hold.bitmap_kernels import label_runs, part_boxes, squares_to_edge
from separations.measuring.hold.local_width import (
    equal_diameter,
    strip_widths_px,
    thin_parts,
    whole_parts,
)

SIDE = 160


def strip(angle_deg: float, width: float, aside: float) -> NDArray[np.bool_]:
    y, x = np.mgrid[:SIDE, :SIDE] - SIDE / 2 + 0.5
    angle = np.radians(angle_deg)
    return np.asarray(np.abs(x * np.sin(angle) - y * np.cos(angle) + aside) < width / 2)


def disc(width: float, aside: float) -> NDArray[np.bool_]:
    y, x = np.mgrid[:60, :60] - 29.5
    return np.asarray(np.hypot(x + aside, y + 0.7 * aside) < width / 2)


@pytest.mark.parametrize("angle_deg", [0, 7.5, 22.5, 33, 45, 60, 82.5, 90])
@pytest.mark.parametrize("width", [3.2, 4.2, 5.8, 7.3, 11.4, 17.9])
def test_lines_and_gaps_at_all_angles_within_a_pixel(angle_deg: float, width: float) -> None:
    for aside in (0.1, 0.37):
        (line,) = thin_parts(strip(angle_deg, width, aside), 24.0, margin_px=40)
        assert line.width_px == pytest.approx(width, abs=1.05)
        assert line.area_px / line.length_px == pytest.approx(width, abs=1.05)


def test_a_gap_between_two_blocks() -> None:
    ink = ~strip(30, 6.0, 0.2)
    gaps = thin_parts(~ink, 9.0)
    assert len(gaps) == 1
    assert gaps[0].width_px == pytest.approx(6.0, abs=1.0)
    assert gaps[0].length_px > SIDE
    assert not thin_parts(ink, 9.0)
    assert not thin_parts(~ink, 5.9)


@pytest.mark.parametrize("width", [3.7, 4.7, 6.1, 8.8, 13.3, 19.6])
def test_discs_by_their_area_within_a_pixel(width: float) -> None:
    for aside in (0.0, 0.3, 0.5):
        sizes = whole_parts(disc(width, aside))
        assert len(sizes.area_px) == 1
        assert equal_diameter(sizes.area_px)[0] == pytest.approx(width, abs=1.0)


def test_parts_at_the_rim_are_left_out_and_made_up_for() -> None:
    rng = np.random.default_rng(5)
    large = np.zeros((1200, 1200), np.bool_)
    for r, c in rng.integers(10, 1180, (900, 2)):
        large[r:r + 8, c:c + 8] = True
    whole = whole_parts(large)
    seen = [whole_parts(large[r:r + 100, c:c + 100].copy())
            for r in range(0, 1200, 100) for c in range(0, 1200, 100)]
    expected = sum(float(s.weight[s.area_px == 64].sum()) for s in seen)
    assert expected == pytest.approx(int((whole.area_px == 64).sum()), rel=0.06)


def test_a_thin_tail_is_told_from_the_block_it_hangs_on_and_from_a_line_of_its_own() -> None:
    bits = np.zeros((200, 200), np.bool_)
    bits[60:120, 20:80] = True
    bits[88:92, 80:150] = True
    bits[160:163, 30:130] = True
    tail, alone = thin_parts(bits, 10.0)
    assert (tail.alone, alone.alone) == (False, True)
    assert tail.width_px == pytest.approx(4, abs=1)
    assert tail.length_px == pytest.approx(70, abs=10)
    assert alone.width_px == pytest.approx(3, abs=1)
    assert alone.length_px == pytest.approx(100, abs=15)
    assert (alone.row, alone.column) == pytest.approx((161, 79.5))


def test_corners_of_wide_parts_are_not_thin() -> None:
    y, x = np.mgrid[:200, :200] - 100
    assert not thin_parts(np.asarray(np.abs(x) + np.abs(y) < 60), 10.0)
    assert not thin_parts(np.asarray((np.abs(x) < 40) & (np.abs(y) < 40)), 10.0)


def test_strips_through_a_window() -> None:
    bits = np.zeros((50, 90), np.bool_)
    bits[:, 10:15] = bits[:, 40:52] = True
    assert strip_widths_px(bits) == pytest.approx([5, 12], abs=0.6)
    assert strip_widths_px(np.ones((4, 4), np.bool_)).size == 0


@pytest.mark.parametrize("share", [0.5, 0.9, 0.99, 1.0])
@pytest.mark.parametrize("most", [1, 3, 6, 20])
def test_distances_are_exact_as_far_as_they_matter(share: float, most: int) -> None:
    part = np.random.default_rng(7).random((41, 33)) < share
    squares = np.empty(part.shape, np.uint16)
    squares_to_edge(part, most, np.empty(33 + 2 * most, np.uint16), squares)
    beyond = np.argwhere(~part)
    for r, c in np.ndindex(*part.shape):
        away = ((beyond - (r, c)) ** 2).sum(axis=1).min(initial=most * most)
        assert squares[r, c] == away


@pytest.mark.parametrize("share", [0.01, 0.3, 0.5, 0.6, 0.95])
@pytest.mark.parametrize("shape", [(1, 1), (1, 9), (9, 1), (40, 37)])
@pytest.mark.parametrize("connectivity", [4, 8])
def test_parts_are_those_of_another_labelling(
        connectivity: int, shape: tuple[int, int], share: float) -> None:
    part = np.random.default_rng(11).random(shape) < share
    runs = np.empty((shape[0] * (shape[1] // 2 + 1), 3), np.int32)
    parents = np.empty(len(runs), np.int32)
    count = label_runs(part, int(connectivity == 8), runs, parents)
    boxes = np.empty((count, 5), np.int32)
    boxes = boxes[:part_boxes(runs, parents[:count], boxes)]
    stats = cv2.connectedComponentsWithStats(part.view(np.uint8), connectivity=connectivity)[2][1:]
    want = [(top, top + down, left, left + across, area) for left, top, across, down, area
            in stats.tolist()]
    assert sorted(map(tuple, boxes.tolist())) == sorted(want)


@pytest.mark.parametrize("seed", range(5))
def test_thin_parts_are_those_of_plain_distances(seed: int) -> None:
    rng = np.random.default_rng(seed)
    drawn = np.zeros((180, 200), np.uint8)
    for _ in range(9):
        one, other = ((int(n), int(m)) for n, m in rng.integers(0, 200, (2, 2)))
        cv2.line(drawn, one, other, 1, int(rng.integers(1, 12)))
    limit, margin = 6.3, 12
    for bits in (drawn.astype(np.bool_), drawn == 0):
        away = cv2.distanceTransform(bits.astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
        widths = (2 * cv2.dilate(away, np.ones((9, 9), np.uint8)) - np.float32(0.5)).astype(float)
        core = np.s_[margin:-margin, margin:-margin]
        thin = bits[core] & (widths[core] <= limit - 1)
        count, labels = cv2.connectedComponents(thin.astype(np.uint8), connectivity=8)
        found = thin_parts(bits, limit, margin)
        assert len(found) == count - 1 > 0
        for number, part in enumerate(found, 1):
            own = widths[core][labels == number]
            assert part.area_px == own.size
            assert part.width_px == pytest.approx(float(np.percentile(own, 5)), rel=1e-6)
            assert part.length_px == pytest.approx(own.size / max(1.0, own.mean()), rel=1e-6)


@pytest.mark.parametrize("limit_px", [40.0, 250.0, 254.0, 300.0, 700.0])
def test_widths_are_right_up_to_any_limit(limit_px: float) -> None:
    part = np.zeros((900, 1000), np.bool_)
    part[100:100 + round(0.8 * limit_px)] = True
    (told,) = thin_parts(part, limit_px)
    assert told.width_px == pytest.approx(0.8 * limit_px, abs=1.0)
    assert told.alone
    part[50:100 + round(1.2 * limit_px)] = True
    assert thin_parts(part, limit_px) == ()


def test_both_ways_to_measure_distances_agree(monkeypatch: pytest.MonkeyPatch) -> None:
    random = np.random.default_rng(5)
    blots = cv2.GaussianBlur(random.random((300, 400)), (0, 0), 6.0) > 0.5
    short = thin_parts(blots, 30.0)
    assert len(short) > 10
    monkeypatch.setattr("separations.measuring.hold.bitmap_kernels.MOST_DISTANCE", 3)
    assert [asdict(part) for part in thin_parts(blots, 30.0)] == [asdict(part) for part in short]
