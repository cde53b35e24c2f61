"""Dots and holes counted one by one on presses that lose those under a diameter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from preflight.job_file.job_reader import read_job
from separations.uses.calibration.patches import Patch
from separations.uses.calibration.sheet_marks import sheet_number
from separations.uses.press_scan.dot_counting import SpotCount, count_spots, spot_offset_mm
from separations.uses.press_scan.film_spots import FilmSpots, film_spots
from separations.uses.press_scan.scan_dots import HELD_SHARE, StepCount, counted_end
from separations.uses.press_scan.scan_reading import read_scan
from separations.uses.press_scan.seen_of_scans import seen_of_scans
from tests.made_up_dots import Press, WedgeBits, printed_coverage, wedge_bits
from tests.made_up_scans import PrintedSheet, Taken, write_picture
from tests.misprinted_sheets import Misplaced, inks_in_place, misprinted

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
    outcomes = [outcome(bits, made_up(case)) for case in range(3)]
    told = [off for one in outcomes for off in (one.dots, one.holes) if off is not None]
    assert len(told) >= 4
    assert max(map(abs, told)) <= 1


@pytest.mark.long
def test_many_presses_within_one_step(tmp_path: Path) -> None:
    wedges = [wedge(tmp_path, lpi) for lpi in RULINGS]
    outcomes = [outcome(wedges[case % len(wedges)], made_up(case)) for case in range(60)]
    dots, holes = ([getattr(one, end) for one in outcomes] for end in ("dots", "holes"))
    for told in (dots, holes):
        known = [off for off in told if off is not None]
        assert max(map(abs, known)) <= 1
        assert np.mean([off == 0 for off in known]) > 0.8
        assert len(known) > 0.6 * len(told)


@pytest.mark.long
@pytest.mark.parametrize(("least_um", "ppi", "smallest", "lost"), [
    (0, 600, 0.02, None), (120, 600, 0.05, 0.02), (170, 300, 0.10, 0.05), (240, 600, 0.20, 0.10)])
def test_a_whole_sheet_of_a_press_that_loses_dots(
        printed: PrintedSheet, scanned_job: Path, tmp_path: Path, least_um: float, ppi: float,
        smallest: float, lost: float | None) -> None:
    job = read_job(scanned_job)
    inks = inks_in_place(scanned_job, tmp_path / "films", spread_mm=0.02, least_um=least_um)
    sheet = misprinted(printed, inks, (Misplaced(right_mm=0.1), Misplaced(down_mm=-0.15)))
    path = write_picture(sheet, Taken(ppi=ppi, turn=89.5, noise=0.003), tmp_path / "scan")
    scan = read_scan(path, sheet.laid, sheet_number(job, sheet.patches), light_inks=False,
                     spots=film_spots(job, sheet.laid))
    told = seen_of_scans(job, sheet.laid, [scan])
    for name in ("Yellow", "Black"):
        seen = told.inks[name]
        assert (seen.smallest_tone, seen.lost_tone) == (smallest, lost), name
        if lost is not None:
            assert seen.largest_tone == 1 - smallest
            # the smallest holes of yellow, which shows in blue light alone, may not be counted
            assert seen.closed_tone == pytest.approx(1 - lost) or (
                name == "Yellow" and seen.closed_tone is None)
            assert f"{name} holds dots of {100 * smallest:g} %, loses dots of {100 * lost:g} %" \
                in " ".join(told.says)


def test_a_finer_step_tells_of_a_coarser_one_that_was_not_counted() -> None:
    def counts(*steps: tuple[float, int, bool]) -> list[StepCount]:
        return [StepCount(
            spots=FilmSpots(
                patch=Patch(row=0, column=0, percent=(100 * tone,), kind="wedge"), ink=0,
                are_holes=False, tone=tone, middles_mm=np.zeros((100, 2)), area_mm2=0.01,
                pitch_mm=0.5),
            count=SpotCount(looked_for=100, printed=printed, can_be_counted=can),
            corners_px=np.zeros((4, 2))) for tone, printed, can in steps]

    def end(*steps: tuple[float, int, bool]) -> tuple[float | None, float | None, float | None]:
        found = counted_end(counts(*steps), 0, holes=False)
        return found.held, found.lost, found.uncounted

    assert end((0.3, 0, False), (0.2, 100, True), (0.1, 90, True), (0.05, 89, True)) == (
        0.1, 0.05, None)
    assert end((0.3, 100, True), (0.2, 95, True), (0.1, 0, False), (0.05, 0, False)) == (
        0.2, None, 0.1)
    assert end((0.3, 40, True), (0.2, 100, True)) == (None, 0.3, None)
    # two rows of one ink count together
    assert end((0.2, 100, True), (0.2, 81, True)) == (0.2, None, None)


def test_a_picture_too_coarse_to_count_says_so(printed: PrintedSheet, scanned_job: Path,
                                               tmp_path: Path) -> None:
    job = read_job(scanned_job)
    path = write_picture(printed, Taken(ppi=190), tmp_path / "scan")
    scan = read_scan(path, printed.laid, sheet_number(job, printed.patches), light_inks=False,
                     spots=film_spots(job, printed.laid))
    told = seen_of_scans(job, printed.laid, [scan])
    assert told.inks["Black"].smallest_tone is None
    assert told.inks["Black"].lost_tone is None
    assert ("Black: the scan is too coarse to count dots of 30 %; a finer one, of 600 ppi or more, "
            "may tell them.") in told.says
