"""Register read from marks: sixty made-up marks at 600 dpi, and inks fitted to many marks."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from preflight.job_file.job_reader import read_job
from preflight.press.seen_print import SeenRegister
from separations.uses.calibration.register_marks import register_marks
from separations.uses.calibration.sheet_marks import sheet_number
from separations.uses.press_scan.ink_register import ink_registers
from separations.uses.press_scan.register_reading import MarkShift, mark_shift
from separations.uses.press_scan.scan_reading import read_scan
from separations.uses.press_scan.seen_in_picture import SeenInPicture
from separations.uses.press_scan.seen_of_scans import seen_of_scans
from tests.made_up_register import ScannedMark, scanned_mark
from tests.made_up_scans import PrintedSheet, Taken, write_picture

INKS = (("Yellow", "Black"), ("Yellow", "Magenta"), ("Yellow", "Cyan"), ("Magenta", "Cyan"))


def made_up(case: int, ppi: float) -> ScannedMark:
    random = np.random.default_rng(case)
    over, down = random.uniform(-0.4, 0.4, 2)
    aside = random.uniform(-0.1, 0.1, 2)
    return ScannedMark(
        inks=INKS[case % len(INKS)], shift_mm=(over, down),
        place_mm=(aside[0] - over / 2, aside[1] - down / 2), turn_deg=random.uniform(-0.2, 0.2),
        ppi=ppi, spread_mm=random.uniform(0.0, 0.06), grain=random.uniform(0.01, 0.05),
        noise=random.uniform(0.001, 0.008), blur_px=random.uniform(0.5, 1.2),
        slope=random.uniform(0.0, 0.1), seed=case)


@pytest.mark.parametrize("ppi", [600, 300])
def test_sixty_marks_one_by_one(ppi: float) -> None:
    off = []
    for case in range(60):
        mark = made_up(case, ppi)
        found = mark_shift(scanned_mark(mark))
        assert found is not None, case
        off.append(found - mark.shift_mm)
    assert np.abs(off).max() < 0.05
    assert np.std(off) < 0.012


def test_what_is_no_mark_is_not_read() -> None:
    mark = ScannedMark(inks=("Yellow", "Black"), shift_mm=(0.1, 0.1))
    printed = scanned_mark(mark)
    bare = scanned_mark(replace(mark, place_mm=(40.0, 0.0)))
    assert mark_shift(printed) is not None
    assert mark_shift(bare) is None, "sheets printed before had none"
    half = printed.copy()
    half[:, half.shape[1] // 2:] = bare[:, half.shape[1] // 2:]
    assert mark_shift(half) is None
    knot = printed.copy()
    knot[20:70, 20:70] = 0.05
    assert mark_shift(knot) is None
    assert mark_shift(scanned_mark(replace(mark, shift_mm=(1.3, 0.0)))) is None


def test_each_ink_has_marks_all_over_the_sheet(printed: PrintedSheet) -> None:
    marks = register_marks(printed.patches)
    assert {mark.ink for mark in marks} == {1}
    assert len({mark.row for mark in marks}) >= 3
    assert {mark.column for mark in marks} >= {1, 13}
    assert register_marks(tuple(
        replace(patch, percent=patch.percent[:1]) for patch in printed.patches)) == ()


def fitted(printed: PrintedSheet, shift_mm: tuple[float, float], turn_deg: float,
           seed: int, strays: int = 0) -> SeenRegister:
    random = np.random.default_rng(seed)
    least_x, least_y, most_x, most_y = printed.laid.sheet.trim_bounds_mm
    middle = np.array([most_y - least_y, most_x - least_x]) / 2
    turn, marks = np.radians(turn_deg), []
    for k, mark in enumerate(register_marks(printed.patches)):
        at = np.add(printed.laid.mark_mm(mark.row, mark.column), 2.4)
        x, y = at - middle
        moved = np.array([shift_mm[0] + turn * y, shift_mm[1] - turn * x])
        moved += random.normal(0, 0.01, 2) + (0.4 if k < strays else 0.0)
        marks.append(MarkShift(ink=1, at_mm=at, shift_mm=moved, corners_px=np.zeros((4, 2))))
    return ink_registers(marks, printed.laid, "Yellow")[1]


def test_shift_and_turn_lie_within_what_is_told_nine_times_in_ten(printed: PrintedSheet) -> None:
    inside = []
    for seed in range(200):
        seen = fitted(printed, (0.21, -0.13), 0.05, seed)
        inside += [abs(seen.across_mm + 0.21) <= seen.within_mm,
                   abs(seen.along_mm - 0.13) <= seen.within_mm,
                   abs(seen.turn_deg - 0.05) <= seen.turn_within_deg]
        assert seen.turn_shows
    assert 0.85 < np.mean(inside) < 0.99
    stray = fitted(printed, (0.21, -0.13), 0.05, 1, strays=3)
    assert stray.across_mm == pytest.approx(-0.21, abs=0.02)
    assert stray.along_mm == pytest.approx(0.13, abs=0.02)


def test_too_few_marks_tell_nothing(printed: PrintedSheet) -> None:
    marks = [MarkShift(ink=1, at_mm=np.array([10.0 * k, 5.0]), shift_mm=np.zeros(2),
                       corners_px=np.zeros((4, 2))) for k in range(3)]
    assert ink_registers(marks, printed.laid, "Yellow") == {}


def test_a_scan_tells_the_register_that_was_printed(
        printed: PrintedSheet, scanned_job: Path, tmp_path: Path) -> None:
    job = read_job(scanned_job)
    path = write_picture(printed, Taken(turn=0.3, ppi=200, part=(0.4, 1.0)), tmp_path / "p")
    scan = read_scan(path, printed.laid, sheet_number(job, printed.patches), light_inks=False)
    told = seen_of_scans(job, printed.laid, [scan])
    seen = told.inks["Black"].register
    assert seen is not None
    assert told.inks["Yellow"].register is None
    right, down = printed.moved_mm[1] - printed.moved_mm[0]
    assert seen.across_mm == pytest.approx(-right, abs=0.03)
    assert seen.along_mm == pytest.approx(-down, abs=0.03)
    assert "mm towards the nose and 0." in told.says[0]
    assert "mm to the left of Yellow" in told.says[0]
    without = seen_of_scans(job, printed.laid, [replace(scan, seen=SeenInPicture())])
    assert without.inks["Black"].register is None
    assert "Register of Black not read: 0 register marks" in " ".join(without.says)
