"""Dots and holes counted one by one on presses that lose those under a diameter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from separations.uses.press_scan.dot_counting import count_spots, spot_offset_mm
from separations.uses.press_scan.scan_dots import HELD_SHARE, StepCount, counted_end
from tests.made_up_dots import Press, WedgeBits, printed_coverage, wedge_bits

RULINGS = (45, 55, 65)


def wedge(folder: Path, lpi: int) -> WedgeBits:
    return wedge_bits(folder / f"{lpi}", ('"45 lpi"', f'"{lpi} lpi"'),
                      ('resolution = "600 dpi"', 'resolution = "1440 dpi"'))


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """By how many steps the smallest dot and the largest hole are off; None where uncounted."""

    dots: int | None
    holes: int | None


def made_up(case: int) -> Press:
    random = np.random.default_rng(case)
    aside = random.uniform(-0.05, 0.05, 2)
    return Press(
        least_um=random.uniform(40, 230), unsure=random.uniform(0.0, 0.15),
        spread_mm=random.uniform(0.0, 0.015), wander_mm=random.uniform(0.03, 0.1),
        ppi=float(random.choice([600, 800, 1200])), solid=random.uniform(0.05, 0.5),
        grain=random.uniform(0.01, 0.04), noise=random.uniform(0.002, 0.008),
        blur_px=random.uniform(0.4, 0.9), aside_mm=(aside[0], aside[1]), seed=case)


def outcome(wedge: WedgeBits, press: Press) -> Outcome:
    counts: list[StepCount] = []
    shares: dict[tuple[bool, float], float] = {}
    for holes in (False, True):
        planes = []
        for spots, bits in zip(wedge.spots, wedge.bits, strict=True):
            if spots.are_holes is holes:
                coverage, per_mm, shares[holes, spots.tone] = printed_coverage(
                    bits, wedge.pixel_mm, spots, press)
                planes.append((spots, coverage, per_mm))
        offset = np.mean([spot_offset_mm(coverage, per_mm, spots)
                          for spots, coverage, per_mm in planes
                          if 0.15 <= (1 - spots.tone if holes else spots.tone) <= 0.35], axis=0)
        counts += [StepCount(spots=spots, count=count_spots(coverage, per_mm, spots, offset),
                             corners_px=np.zeros((4, 2)))
                   for spots, coverage, per_mm in planes]
    return Outcome(dots=steps_off(counts, shares, holes=False),
                   holes=steps_off(counts, shares, holes=True))


def steps_off(counts: Sequence[StepCount], shares: dict[tuple[bool, float], float], *,
              holes: bool) -> int | None:
    """How many steps further out dots are told to hold than they do."""
    tones = sorted((tone for is_hole, tone in shares if is_hole is holes), reverse=not holes)
    held = [shares[holes, tone] >= HELD_SHARE for tone in tones]
    truth = held.index(False) if False in held else len(held)
    found = counted_end(counts, 0, holes=holes)
    if found.uncounted is not None:
        return None
    return (tones.index(found.held) + 1 if found.held is not None else 0) - truth


def test_some_presses_within_one_step(tmp_path: Path) -> None:
    bits = wedge(tmp_path, RULINGS[1])
    outcomes = [outcome(bits, made_up(case)) for case in range(5)]
    told = [off for one in outcomes for off in (one.dots, one.holes) if off is not None]
    assert len(told) >= 7
    assert max(map(abs, told)) <= 1


@pytest.mark.long
def test_many_presses_within_one_step(tmp_path: Path) -> None:
    wedges = [wedge(tmp_path, lpi) for lpi in RULINGS]
    outcomes = [outcome(wedges[case % len(wedges)], made_up(case)) for case in range(120)]
    dots, holes = ([getattr(one, end) for one in outcomes] for end in ("dots", "holes"))
    for told in (dots, holes):
        known = [off for off in told if off is not None]
        assert max(map(abs, known)) <= 1
        assert np.mean([off == 0 for off in known]) > 0.8
        assert len(known) > 0.6 * len(told)
