"""Pictures that tell nothing: one sentence each, with what is wrong and what would do."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.uses.calibration.sheet_marks import sheet_number
from separations.uses.press_scan.joined_scans import join_scans
from separations.uses.press_scan.scan_reading import read_scan
from tests.made_up_scans import (
    PrintedSheet,
    Taken,
    picture_of,
    printed_sheet,
    write_picture,
)
from tests.scanned_tones import told_tones
from tests.small_art import SMALL_JOB, write_small_job

#: Half the sheet, small; most faults show before its inks are read.
HALF = Taken(ppi=200, part=(0.0, 0.6))
WHOLE = Taken(ppi=200)
PAPER = np.array([0.86, 0.85, 0.83])


def refused(printed: PrintedSheet, job_path: Path, picture: Path) -> str:
    job = read_job(job_path)
    with pytest.raises(InputProblem) as caught:
        join_scans(job, printed.patches, [read_scan(
            picture, printed.laid, sheet_number(job, printed.patches), light_inks=False)])
    return caught.value.sentence


def saved(levels: np.ndarray, path: Path) -> Path:
    Image.fromarray(levels).save(path)
    return path


def test_a_proof_on_paper(printed: PrintedSheet, scanned_job: Path, tmp_path: Path) -> None:
    levels = picture_of(printed, replace(HALF, grain=0.002), PAPER)
    told = refused(printed, scanned_job, saved(levels, tmp_path / "paper.png"))
    assert "found the sheet on white paper or on a screen" in told
    assert "a picture of the print on the board's wood" in told


@pytest.mark.long
def test_a_screenshot(printed: PrintedSheet, scanned_job: Path, tmp_path: Path) -> None:
    flat = replace(HALF, grain=0.0, noise=0.0, uneven=1.0)
    told = refused(printed, scanned_job, write_picture(printed, flat, tmp_path / "p"))
    assert "without any grain" in told
    assert "not a screenshot or a proof" in told


@pytest.mark.long
@pytest.mark.parametrize(("jpeg", "lines"), [(0, 4.4), (80, 3.5)])
def test_a_picture_of_a_screen(printed: PrintedSheet, scanned_job: Path, tmp_path: Path,
                               jpeg: int, lines: float) -> None:
    """Its pixels are seen, aslant too; wood in a like picture is not taken for one."""
    aslant = replace(HALF, ppi=250, tilt=12, swing=-9, turn=3, uneven=0.6, jpeg=jpeg)
    told = refused(printed, scanned_job, write_picture(
        printed, replace(aslant, lattice_per_mm=lines), tmp_path / "p"))
    assert "found a picture of a screen or of a printed picture" in told
    assert "a picture of the print itself would do" in told
    read_scan(write_picture(printed, aslant, tmp_path / "p"), printed.laid,
              sheet_number(read_job(scanned_job), printed.patches), light_inks=False)


@pytest.mark.long
def test_contrast_that_a_camera_bent(printed: PrintedSheet, scanned_job: Path, tmp_path: Path
                                     ) -> None:
    told = refused(printed, scanned_job,
                   write_picture(printed, replace(WHOLE, contrast=0.9), tmp_path / "p"))
    assert "a camera has changed the contrast" in told
    assert "a scan without correction of contrast" in told


@pytest.mark.long
def test_crushed_shadows(printed: PrintedSheet, scanned_job: Path, tmp_path: Path) -> None:
    """Solids at the end of the levels."""
    levels = picture_of(printed, WHOLE).astype(np.float64)
    crushed = np.clip((levels - 90.0) * 1.9, 0, 255).astype(np.uint8)
    told = refused(printed, scanned_job, saved(crushed, tmp_path / "p.png"))
    assert "solids whose light lies beyond the picture's levels" in told
    assert "taken without any raising of contrast" in told


@pytest.mark.long
def test_night(printed: PrintedSheet, scanned_job: Path, tmp_path: Path) -> None:
    def sentence(taken: Taken) -> str:
        return refused(printed, scanned_job, write_picture(printed, taken, tmp_path / "p"))

    dark = sentence(replace(HALF, exposure=0.06, noise=0.0005))
    assert "% of full light" in dark
    assert "a picture by daylight or on a scanner" in dark
    lamp = sentence(replace(WHOLE, cast=(1.0, 0.55, 0.025), exposure=1.0, mixed=0.01))
    assert "of full blue light, in which this ink may show best" in lamp
    assert "not by a lamp's coloured light" in lamp
    noisy = sentence(replace(WHOLE, exposure=0.3, noise=1.2))
    assert "a picture with less noise" in noisy or "sharp picture" in noisy


def test_a_jpeg_of_strong_compression(printed: PrintedSheet, scanned_job: Path, tmp_path: Path
                                      ) -> None:
    levels = np.random.default_rng(3).integers(90, 160, (64, 64, 3)).astype(np.uint8)
    Image.fromarray(levels).save(tmp_path / "a.jpg", quality=50)
    told = refused(printed, scanned_job, tmp_path / "a.jpg")
    assert "found a JPEG of strong compression" in told
    assert "the photograph as the camera saved it" in told
    Image.fromarray(levels).save(tmp_path / "a.jpg", quality=80)
    assert "none of the test sheet's marks" in refused(printed, scanned_job, tmp_path / "a.jpg")


@pytest.mark.long
def test_a_sheet_too_small_in_the_picture(printed: PrintedSheet, scanned_job: Path,
                                          tmp_path: Path) -> None:
    told = refused(printed, scanned_job,
                   write_picture(printed, replace(HALF, ppi=130), tmp_path / "p"))
    assert "pixels to an inch" in told


@pytest.mark.long
def test_a_white_ink_is_read(tmp_path: Path) -> None:
    """It is lighter than the wood, and its tone values are told like any other's."""
    start = SMALL_JOB.index('[[ink]]\nname = "Magenta"')
    end = SMALL_JOB.index('[[ink]]\nname = "Black"')
    path = write_small_job(tmp_path, (SMALL_JOB[start:end], ""), (
        'name = "Yellow"\ncolour = "process yellow"',
        'name = "White"\ncolour = "opaque white"\nprints = "underbase"'))
    job = read_job(path)
    sheet = printed_sheet(path, tmp_path / "wedge")
    taken = Taken(turn=0.7, exposure=0.6)
    scan = read_scan(write_picture(sheet, taken, tmp_path / "p"), sheet.laid,
                     sheet_number(job, sheet.patches), light_inks=True)
    found = join_scans(job, sheet.patches, [scan])
    assert found.density[14] < -0.1
    told = told_tones(sheet, path, found)
    assert np.abs(told.off).mean() < 0.015
    assert np.abs(told.off).max() < 0.04
