"""Sixty test sheets printed out of register, by up to 0.4 mm and a turn, scanned at 600 dpi.

And twenty-four of them at 300 dpi: what is told, and how often its ± holds the truth.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from preflight.job_file.job_reader import read_job
from separations.uses.calibration.sheet_marks import sheet_number
from separations.uses.press_scan.scan_reading import read_scan
from separations.uses.press_scan.seen_of_scans import seen_of_scans
from tests.made_up_scans import PrintedSheet, Taken, write_picture
from tests.misprinted_sheets import Misplaced, inks_in_place, misprinted


@pytest.mark.long
@pytest.mark.parametrize(("ppi", "cases"), [(600.0, 60), (300.0, 24)])
def test_many_sheets_out_of_register(printed: PrintedSheet, scanned_job: Path, tmp_path: Path,
                                     ppi: float, cases: int) -> None:
    job = read_job(scanned_job)
    number = sheet_number(job, printed.patches)
    inks = inks_in_place(scanned_job, tmp_path / "films")
    off, inside, turns = [], [], []
    for case in range(cases):
        random = np.random.default_rng(case)
        right, down = random.uniform(-0.4, 0.4, 2)
        turn = random.uniform(-0.1, 0.1)
        sheet = misprinted(printed, inks, (
            Misplaced(right_mm=-right / 2, down_mm=-down / 2, turn_deg=-turn / 2),
            Misplaced(right_mm=right / 2, down_mm=down / 2, turn_deg=turn / 2)))
        path = write_picture(sheet, Taken(
            ppi=ppi, turn=float(random.choice([0, 90, 180, 270]) + random.uniform(-2, 2)),
            uneven=random.uniform(0.7, 1.0), grain=random.uniform(0.01, 0.05),
            noise=random.uniform(0.001, 0.006), sharpened=random.uniform(0, 0.8),
            jpeg=int(random.choice([0, 0, 90])), blur_px=random.uniform(0.5, 1.1),
            seed=case), tmp_path / "scan")
        scan = read_scan(path, sheet.laid, number, light_inks=False)
        seen = seen_of_scans(job, sheet.laid, [scan]).inks["Black"].register
        assert seen is not None, case
        missed = [seen.across_mm + right, seen.along_mm + down]
        off.append(missed)
        inside += [abs(one) <= seen.within_mm for one in missed]
        turns.append(seen.turn_deg - turn)
        inside.append(abs(turns[-1]) <= seen.turn_within_deg)
    assert np.abs(off).max() < 0.05
    assert np.abs(turns).max() < 0.02
    assert np.mean(inside) >= 0.85
