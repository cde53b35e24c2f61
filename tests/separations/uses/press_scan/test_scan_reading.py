"""Pictures of a made-up print: what is found and read, and what is refused in a sentence."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.uses.calibration.sheet_marks import SheetNumber, sheet_number
from separations.uses.press_scan.joined_scans import JoinedScans, join_scans
from separations.uses.press_scan.scan_reading import ScanReading, read_scan
from tests.made_up_scans import PrintedSheet, Taken, picture_of, write_picture
from tests.scanned_tones import told_tones

SCAN = Taken(turn=180.7, uneven=0.8)
PHOTOGRAPH = Taken(turn=-4, tilt=20, swing=-14, curl_mm=2.0, uneven=0.5, noise=0.008, jpeg=80,
                   ppi=280)


def read(printed: PrintedSheet, job_path: Path, path: Path) -> ScanReading:
    return read_scan(path, printed.laid, sheet_number(read_job(job_path), printed.patches),
                     light_inks=False)


def joined(printed: PrintedSheet, job_path: Path, *scans: ScanReading) -> JoinedScans:
    return join_scans(read_job(job_path), printed.patches, scans)


def refused(printed: PrintedSheet, job_path: Path, path: Path) -> str:
    with pytest.raises(InputProblem) as caught:
        joined(printed, job_path, read(printed, job_path, path))
    return caught.value.sentence


@pytest.mark.parametrize(("taken", "mean", "most"), [
    (SCAN, 0.015, 0.04), pytest.param(PHOTOGRAPH, 0.025, 0.06, marks=pytest.mark.long)])
def test_tones_of_the_whole_sheet(printed: PrintedSheet, scanned_job: Path, tmp_path: Path,
                                  taken: Taken, mean: float, most: float) -> None:
    scan = read(printed, scanned_job, write_picture(printed, taken, tmp_path / "one"))
    assert scan.in_perspective == (taken is PHOTOGRAPH)
    found = joined(printed, scanned_job, scan)
    assert found.left_out == ()
    assert found.colours[0] == "blue"
    told = told_tones(printed, scanned_job, found)
    assert np.abs(told.off).mean() < mean
    assert np.abs(told.off).max() < most
    # nine in ten over many pictures; of one picture's tones, which err together, not all need to
    assert np.mean(np.abs(told.off) <= told.within) > 0.7
    assert told.within.max() < 0.05
    drawn = Image.open(io.BytesIO(scan.drawn))
    assert max(drawn.size) <= 1800


@pytest.mark.long
def test_two_halves_make_a_sheet(printed: PrintedSheet, scanned_job: Path, tmp_path: Path) -> None:
    halves = [read(printed, scanned_job, write_picture(
        printed, replace(SCAN, turn=turn, part=part, ppi=220), tmp_path / f"{turn}"))
        for turn, part in ((1.0, (0.0, 0.6)), (90.0, (0.45, 1.0)))]
    for half in halves:
        assert any("outside the picture" in reason or "no mark" in reason or "far" in reason
                   for reason in half.left_out)
    found = joined(printed, scanned_job, *halves)
    assert found.left_out == ()
    assert np.abs(told_tones(printed, scanned_job, found).off).max() < 0.04


def test_glare_and_lost_light_are_left_out_with_their_reason(
        printed: PrintedSheet, scanned_job: Path, tmp_path: Path) -> None:
    levels = picture_of(printed, replace(SCAN, turn=0.0, ppi=200)).copy()
    per_mm = 200 / 25.4
    names = {patch.name: patch for patch in printed.patches}

    def middle(name: str) -> tuple[int, int]:
        patch = names[name]
        left, top, right, bottom = printed.laid.box_mm(patch.row, patch.column)
        return (round(((left + right) / 2 + 14) * per_mm),
                round(((top + bottom) / 2 + 14) * per_mm))

    cv2.circle(levels, middle("C8"), round(3.0 * per_mm), (235, 235, 235), -1)
    cv2.circle(levels, middle("D8"), round(6.0 * per_mm), (255, 255, 255), -1)
    Image.fromarray(levels).save(tmp_path / "a.png")
    scan = read(printed, scanned_job, tmp_path / "a.png")
    told = {patch.name: reason for patch, reason in
            zip(printed.patches, scan.left_out, strict=True) if reason}
    assert told.keys() >= {"C8", "D8"}
    assert "glare lies on it" in told["C8"]
    assert told["D8"]
    assert len(told) < 8


def test_pictures_that_are_refused(printed: PrintedSheet, scanned_job: Path, tmp_path: Path
                                   ) -> None:
    small = replace(SCAN, ppi=200, turn=0.0, part=(0.0, 0.6))

    def sentence(taken: Taken) -> str:
        return refused(printed, scanned_job, write_picture(printed, taken, tmp_path / "p"))

    assert "found the test sheet mirrored" in sentence(replace(small, mirrored=True))
    levels = np.random.default_rng(3).integers(90, 160, (400, 500, 3)).astype(np.uint8)
    Image.fromarray(levels).save(tmp_path / "noise.png")
    assert "found none of the test sheet's marks" in refused(printed, scanned_job,
                                                             tmp_path / "noise.png")


def test_other_sheets_are_told(printed: PrintedSheet, scanned_job: Path, tmp_path: Path) -> None:
    number = sheet_number(read_job(scanned_job), printed.patches).figures
    path = write_picture(printed, replace(SCAN, ppi=200, part=(0.4, 1.0)), tmp_path / "p")
    for figures, told in (((number[0] ^ 1, *number[1:]), "the test sheet of another job"),
                          ((*number[:3], number[3] ^ 1), "with other patches, mesh or halftone")):
        with pytest.raises(InputProblem, match=told):
            read_scan(path, printed.laid, SheetNumber(figures), light_inks=False)


@pytest.mark.long
def test_strong_sharpening_is_found_and_undone(printed: PrintedSheet, scanned_job: Path,
                                               tmp_path: Path) -> None:
    for amount, low, high in ((0.0, 0.0, 0.0), (0.8, 0.3, 0.8)):
        taken = replace(SCAN, sharpened=amount)
        scan = read(printed, scanned_job, write_picture(printed, taken, tmp_path / "p"))
        assert low <= scan.sharpened <= high
        assert np.abs(told_tones(printed, scanned_job, joined(
            printed, scanned_job, scan)).off).max() < 0.03
