"""Three hundred made-up pictures: every patch found or rightly left out, none mistaken.

Half are scans, half photographs, of six presses that differ in how far ink spreads, light wanders
and solids are dark; two presses have four inks. For each the tone values that a calibration tells
are held against the print's own. ``pytest -s -m long`` on this file shows the table.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.job_file.job_reader import read_job
from separations.uses.calibration.sheet_marks import sheet_number
from separations.uses.press_scan.joined_scans import join_scans
from separations.uses.press_scan.scan_reading import read_scan
from tests.made_up_scans import (
    MadeFilms,
    PrintedSheet,
    Taken,
    made_films,
    print_of,
    true_light,
    write_picture,
    write_two_ink_job,
)
from tests.scanned_tones import told_tones
from tests.small_art import write_small_job

CASES = 300
#: For each press: whether it has four inks, how far ink spreads and light wanders (mm), and how
#: many times the density of the usual solids its own have. Invented.
PRESSES = ((False, 0.035, 0.08, 1.0), (False, 0.022, 0.05, 0.8), (False, 0.045, 0.11, 1.2),
           (False, 0.030, 0.03, 1.0), (True, 0.035, 0.08, 1.0), (True, 0.045, 0.05, 0.85))
#: A patch whose light differs from the print's by more than this was taken for another.
MISTAKEN = 0.12
#: The most that a case may take.
MOST_SECONDS, MOST_MIB = 20.0, 2048.0


@dataclass(frozen=True, kw_only=True, eq=False)
class Outcome:
    """One picture: how far tone values are off (0 to 1), whether ± held, and what was left out."""

    photograph: bool
    inks: int
    off: NDArray[np.float64]
    held: NDArray[np.bool_]
    within: NDArray[np.float64]
    patches: int
    mistaken: int
    left_out: int
    seconds: float


def made_up(case: int) -> Taken:
    """How the picture of a case is taken."""
    random = np.random.default_rng(case)
    grain, sharpened = random.uniform(0.01, 0.05), random.uniform(0.0, 0.8)
    radius_px = random.uniform(0.8, 1.8)
    if case % 2 == 0:
        return Taken(ppi=300, turn=float(random.choice([0, 90, 180, 270]) + random.uniform(-3, 3)),
                     uneven=random.uniform(0.8, 1.0), grain=grain, sharpened=sharpened,
                     radius_px=radius_px, noise=random.uniform(0.001, 0.006),
                     exposure=random.uniform(0.6, 1.05),
                     jpeg=int(random.choice([0, 95])), blur_px=random.uniform(0.4, 1.0), seed=case)
    return Taken(ppi=random.uniform(220, 340), turn=float(random.uniform(-180, 180)),
                 tilt=random.uniform(-25, 25), swing=random.uniform(-25, 25),
                 curl_mm=random.uniform(-3, 3), uneven=random.uniform(0.5, 1.0), grain=grain,
                 sharpened=sharpened, radius_px=radius_px, noise=random.uniform(0.003, 0.012),
                 exposure=random.uniform(0.5, 1.0), jpeg=80, blur_px=random.uniform(0.6, 1.2),
                 mixed=random.uniform(0.0, 0.12), seed=case)


def outcomes_of(sheet: PrintedSheet, job_path: Path, cases: Sequence[int], folder: Path
                ) -> Iterator[Outcome]:
    """Take each picture, read it and hold it against the print."""
    job = read_job(job_path)
    number = sheet_number(job, sheet.patches)
    for case in cases:
        taken = made_up(case)
        picture = write_picture(sheet, taken, folder / "picture")
        began = time.process_time()
        scan = read_scan(picture, sheet.laid, number, light_inks=False)
        found = join_scans(job, sheet.patches, [scan])
        told = told_tones(sheet, job_path, found)
        seconds = time.process_time() - began
        away = np.abs(scan.relative - true_light(sheet, taken))
        yield Outcome(photograph=case % 2 == 1, inks=len(job.ink), off=told.off,
                      held=np.abs(told.off) <= told.within, within=told.within,
                      patches=len(sheet.patches),
                      mistaken=int((np.nanmax(away, axis=1, initial=0.0) > MISTAKEN).sum()),
                      left_out=sum(map(bool, scan.left_out)), seconds=seconds)


def table_of(outcomes: Sequence[Outcome]) -> str:
    """What came out, a line for scans and photographs of two inks and of four."""
    lines = ["pictures: patches read, left out, mistaken | mean, worst picture's mean, most, over "
             "the limit | held, mean ± | most core seconds"]
    for photograph in (False, True):
        for inks in (2, 4):
            ours = [one for one in outcomes
                    if one.photograph == photograph and one.inks == inks]
            if not ours:
                continue
            off = 100 * np.abs([one.off for one in ours])
            over = int((off.max(axis=(1, 2)) > (6 if photograph else 4)).sum())
            held = 100 * np.mean([one.held for one in ours])
            lines.append(
                f"{len(ours)} {'photographs' if photograph else 'scans'} of {inks} inks: "
                f"{sum(one.patches - one.left_out for one in ours)}, "
                f"{sum(one.left_out for one in ours)}, {sum(one.mistaken for one in ours)} | "
                f"{off.mean():.2f}, {off.mean(axis=(1, 2)).max():.2f}, {off.max():.1f}, {over} | "
                f"{held:.1f} %, ± {100 * np.mean([one.within for one in ours]):.1f} | "
                f"{max(one.seconds for one in ours):.1f}")
    return "\n".join(lines)


def films_of(four: bool, folder: Path) -> tuple[Path, MadeFilms]:
    folder.mkdir()
    job_path = write_small_job(folder) if four else write_two_ink_job(folder)
    return job_path, made_films(job_path, folder / "wedge")


@pytest.mark.long
def test_three_hundred_pictures(tmp_path: Path) -> None:
    made = {four: films_of(four, tmp_path / f"{four}") for four in (False, True)}
    outcomes: list[Outcome] = []
    for k, (four, spread_mm, wander_mm, deeper) in enumerate(PRESSES):
        job_path, films = made[four]
        sheet = print_of(films, spread_mm=spread_mm, wander_mm=wander_mm, deeper=deeper)
        per_press = CASES // len(PRESSES)
        outcomes += outcomes_of(sheet, job_path, range(k * per_press, (k + 1) * per_press),
                                tmp_path)
        print(f"press {k + 1}\n{table_of(outcomes)}", flush=True)
    assert sum(one.mistaken for one in outcomes) == 0
    for photograph, mean, most in ((False, 0.015, 0.04), (True, 0.025, 0.06)):
        ours = [one for one in outcomes if one.photograph == photograph]
        off = np.concatenate([np.abs(one.off).ravel() for one in ours])
        held = np.concatenate([one.held.ravel() for one in ours])
        assert off.mean() < mean
        assert off.max() < most
        assert 0.85 <= held.mean() <= 0.95
        assert sum(one.left_out for one in ours) < 0.03 * sum(one.patches for one in ours)
    assert max(one.seconds for one in outcomes) < MOST_SECONDS


@pytest.mark.long
def test_the_largest_scan_is_read_in_time_and_memory(tmp_path: Path) -> None:
    job_path, films = films_of(True, tmp_path / "four")
    scan = write_picture(print_of(films), replace(made_up(0), ppi=600, jpeg=0), tmp_path / "a.tif")
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, "-c", "from separations.command_line import main; main()",
                    "calibrate", str(job_path), str(scan), "--out", str(tmp_path / "press")],
                   check=True)
    assert (tmp_path / "press" / "press_profile.toml").is_file()
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    seconds = after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime
    print(f"four inks at 600 ppi, the whole command: {seconds:.1f} core seconds, "
          f"{after.ru_maxrss / 1024:.0f} MiB")
    assert seconds < MOST_SECONDS
    assert after.ru_maxrss / 1024 < MOST_MIB
