"""Detail that mapping takes away, found alike at every look and never at white."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from separations.colour.tetrahedral import WHOLE
from separations.planes.lost_detail import LostDetail, lost_detail
from separations.planes.separation import lattice_places

#: A lattice that loses the more of a pixel the bluer it is.
LIGHT = np.broadcast_to(np.linspace(0.0, 20.0, 33, dtype=np.float32), (33, 33, 33)).copy()


def found(rgb: NDArray[np.uint8], pixel_mm: float) -> LostDetail:
    return lost_detail(rgb, lattice_places(rgb), LIGHT, pixel_mm)


def blue_lines(rows: int, columns: int, period: int) -> NDArray[np.uint8]:
    rgb = np.full((rows, columns, 3), 128, np.uint8)
    rgb[..., 2] = np.where(np.arange(columns) // (period // 2) % 2, 200, 80)
    return rgb


def test_flat_parts_lose_nothing_and_lines_do() -> None:
    flat = np.full((90, 120, 3), 99, np.uint8)
    assert found(flat, 0.25).of_rows(0, 90).size == 0
    lifts = found(blue_lines(90, 120, 4), 0.25).of_rows(0, 90)
    assert lifts.shape == (90, 120)
    # 120 levels of blue are worth 9.4 L*, half to either side
    assert abs(np.ptp(lifts[40, 40:80]) / WHOLE * 100 - 9.4) < 1.0


def test_finer_planes_find_the_same_detail() -> None:
    coarse = blue_lines(80, 120, 8)
    fine = np.repeat(np.repeat(coarse, 3, axis=0), 3, axis=1)
    whole, part = found(coarse, 0.25).lifts, found(fine, 0.25 / 3).lifts
    assert np.abs(whole - part).max() < 1.0


def test_rows_by_parts_are_the_whole() -> None:
    rgb = np.random.default_rng(2).integers(0, 256, (700, 60, 3), dtype=np.uint8)
    lost = found(rgb, 0.1)
    whole = lost.of_rows(0, 700)
    parts = [lost.of_rows(first, min(first + 64, 700)) for first in range(0, 700, 64)]
    assert np.array_equal(np.concatenate(parts), whole)
