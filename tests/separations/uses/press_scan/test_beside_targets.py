"""A grey scale and a colour target beside the sheet: read where their tables say, and used."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from numpy.typing import NDArray
from PIL import Image

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.colour.colorimetry import colour_difference, xyz_to_lab
from separations.colour.press_profile_file import read_press_profile
from separations.command_line import topsheet
from separations.uses.calibration.sheet_marks import sheet_number
from separations.uses.press_scan.beside_target import (
    Beside,
    read_colour_target,
    read_grey_scale,
)
from separations.uses.press_scan.joined_scans import join_scans
from separations.uses.press_scan.scan_reading import read_scan
from separations.uses.press_scan.scan_run import calibrate_from_scans
from tests.made_up_scans import WOOD, LaidBeside, PrintedSheet, Taken, picture_of
from tests.scanned_tones import told_tones

PPI = 200.0
BENT = Taken(ppi=PPI, contrast=0.9, uneven=0.85)
DENSITIES = np.arange(0.05, 1.96, 0.1)
#: From linear red, green and blue of the made-up camera to XYZ D50: sRGB's, from ICC.
TO_XYZ = np.array([[0.4361, 0.3851, 0.1431], [0.2225, 0.7169, 0.0606], [0.0139, 0.0971, 0.7141]])


def saved(levels: NDArray[np.uint8], path: Path) -> Path:
    Image.fromarray(levels).save(path)
    return path


def grey_scale(folder: Path) -> tuple[LaidBeside, Path]:
    """Steps of 7 mm side by side; the table tells the first and the last one's place."""
    at = np.column_stack([20.0 + 7.0 * np.arange(len(DENSITIES)), np.full(len(DENSITIES), 6.0)])
    rows = ["D,x,y"]
    for k, density in enumerate(DENSITIES):
        x, y = np.rint(at[k] * PPI / 25.4).astype(int)
        rows.append(f"{density:.2f},{x},{y}" if k in (0, len(DENSITIES) - 1)
                    else f"{density:.2f},,")
    path = folder / "grey.csv"
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return LaidBeside(light=np.repeat(0.95 * 10.0 ** -DENSITIES[:, None], 3, axis=1), at_mm=at,
                      side_mm=7.0), path


def colour_target(folder: Path, *, turned: bool = False) -> tuple[LaidBeside, Path]:
    """Two rows of 12 patches of 6 mm, each a little off what the table says."""
    random = np.random.default_rng(8)
    light = np.concatenate([random.uniform(0.03, 0.85, (18, 3)),
                            np.repeat([[0.9], [0.5], [0.25], [0.12], [0.06], [0.03]], 3, axis=1)])
    lab = xyz_to_lab(light @ TO_XYZ.T)
    light = light * np.exp(random.normal(0.0, 0.02, light.shape))
    rows, at = ["row,column,L,a,b,x,y"], []
    for k in range(24):
        row, column = divmod(k, 12)
        at.append((30.0 + 6.0 * column, 3.5 + 6.0 * row))
        x, y = np.rint(np.array(at[-1]) * PPI / 25.4).astype(int)
        told = lab[23 - k if turned else k]
        corner = f"{x},{y}" if column in (0, 11) else ","
        rows.append(f"{row + 1},{column + 1},{told[0]:.2f},{told[1]:.2f},{told[2]:.2f},{corner}")
    path = folder / "target.csv"
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return LaidBeside(light=light, at_mm=np.array(at), side_mm=6.0), path


@pytest.mark.long
def test_a_grey_scale_rights_a_bent_contrast(printed: PrintedSheet, scanned_job: Path,
                                             tmp_path: Path) -> None:
    """Refused without it, and read within the limits with it."""
    laid, table = grey_scale(tmp_path)
    picture = saved(picture_of(printed, BENT, beside=laid), tmp_path / "p.png")
    job = read_job(scanned_job)
    number = sheet_number(job, printed.patches)
    with pytest.raises(InputProblem, match="has changed the contrast"):
        join_scans(job, printed.patches, [read_scan(picture, printed.laid, number,
                                                    light_inks=False)])
    scan = read_scan(picture, printed.laid, number, light_inks=False,
                     beside=Beside(grey=read_grey_scale(table)))
    assert scan.colour_told == "the grey scale beside the sheet tells"
    told = told_tones(printed, scanned_job, join_scans(job, printed.patches, [scan]))
    assert np.abs(told.off).mean() < 0.015
    assert np.abs(told.off).max() < 0.04


@pytest.mark.long
def test_a_colour_target_tells_wood_and_solids(printed: PrintedSheet, scanned_job: Path,
                                               tmp_path: Path) -> None:
    laid, table = colour_target(tmp_path)
    taken = Taken(ppi=PPI, uneven=0.85, exposure=0.9)
    picture = saved(picture_of(printed, taken, beside=laid), tmp_path / "p.png")
    made = calibrate_from_scans(scanned_job, [picture], tmp_path / "press",
                                beside=Beside(colours=read_colour_target(table)))
    assert any("by a colour target beside the sheet" in one for one in made.says)
    assert not any("stay estimates" in one for one in made.says)
    profile = read_press_profile(tmp_path / "press" / "press_profile.toml")
    assert profile.read_from == "scan"
    told = [profile.wood_lab, *(ink.solid_lab for ink in profile.ink),
            *(over.lab for over in profile.overprint)]
    names = [patch.name for patch in printed.patches]
    true = printed.true * WOOD
    solids = [names.index(name) for name in ("A1", "A15", "C15", "E1")]
    away = colour_difference(np.array(told), xyz_to_lab(true[solids] @ TO_XYZ.T))
    assert away.max() < 2.5
    within = [ink.solid_uncertainty_de00 for ink in profile.ink]
    assert all(one is not None and one > 0.5 for one in within)
    assert "colour target" in " ".join(profile.notes)
    assert made.calibration.unread == ()


@pytest.mark.long
def test_a_turned_target_is_refused(printed: PrintedSheet, scanned_job: Path, tmp_path: Path
                                    ) -> None:
    laid, table = colour_target(tmp_path, turned=True)
    picture = saved(picture_of(printed, replace(BENT, contrast=0.0), beside=laid),
                    tmp_path / "p.png")
    with pytest.raises(InputProblem, match="is it turned"):
        calibrate_from_scans(scanned_job, [picture], tmp_path / "press",
                             beside=Beside(colours=read_colour_target(table)))
    assert not (tmp_path / "press").exists()


@pytest.mark.long
def test_steps_that_lie_elsewhere_are_refused(printed: PrintedSheet, scanned_job: Path,
                                              tmp_path: Path) -> None:
    laid, table = grey_scale(tmp_path)
    picture = saved(picture_of(printed, replace(BENT, part=(0.0, 0.7)), beside=laid),
                    tmp_path / "p.png")
    text = table.read_text(encoding="utf-8")
    number = sheet_number(read_job(scanned_job), printed.patches)
    first = re.findall(r"^0\.05,(\d+),(\d+)$", text, re.MULTILINE)[0]
    for place, told in (("9000,50", "a place outside the picture"),
                        (f"{first[0]},{first[1]}", "no darker than patch 1")):
        lines = text.split("\n")
        lines[-2] = f"1.95,{place}"
        table.write_text("\n".join(lines), encoding="utf-8")
        with pytest.raises(InputProblem, match=told):
            read_scan(picture, printed.laid, number, light_inks=False,
                      beside=Beside(grey=read_grey_scale(table)))


@pytest.mark.parametrize(("text", "told"), [
    ("D,x,y\n0.1,5,5\n0.2,,\n", "2 rows"),
    ("D,x,y\n0.1,5,5\n0.2,,\n0.4,,\n0.6,,\n0.9,,\n", "x and y of the first and the last step"),
    ("D,x,y\n0.1,5,\n0.2,,\n0.4,,\n0.6,,\n0.9,9,9\n", "one of x and y"),
    ("D,x,y\n0.1,5,5\n,7,7\n0.4,,\n0.6,,\n0.9,9,9\n", "no value"),
    ("D,x,y,z\n0.1,5,5,1\n", "'z'")])
def test_grey_scales_that_tell_too_little(tmp_path: Path, text: str, told: str) -> None:
    path = tmp_path / "grey.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputProblem) as caught:
        read_grey_scale(path)
    assert told in caught.value.sentence


def test_a_table_goes_with_pictures_that_are_given(scanned_job: Path, tmp_path: Path) -> None:
    """Not with a list of readings, nor with a picture of another name."""
    table, listed = tmp_path / "grey.csv", tmp_path / "list.csv"
    rows = [f"{density},{density * 100:.0f},9,other.png" for density in (0.1, 0.3, 0.5, 0.7, 0.9)]
    table.write_text("\n".join(["D,x,y,picture", *rows]), encoding="utf-8")
    listed.write_text("patch,D\nA1,0\n", encoding="utf-8")
    picture = saved(np.zeros((9, 9, 3), np.uint8), tmp_path / "p.png")
    for measured, told in ((listed, "a list of readings needs none"),
                           (picture, "found 'other.png'; the name of one of the pictures given")):
        ran = CliRunner().invoke(topsheet, [
            "calibrate", str(scanned_job), str(measured), "--grey-scale", str(table), "--out",
            str(tmp_path / "press")])
        assert isinstance(ran.exception, InputProblem)
        assert told in ran.exception.sentence
    assert not (tmp_path / "press").exists()


def test_places_between_the_corners_of_a_grid_seen_aslant(tmp_path: Path) -> None:
    matrix = np.array([[20.0, 2.0, 50.0], [1.0, 18.0, 40.0], [0.002, 0.001, 1.0]])
    rows, true = ["row,column,L,a,b,x,y"], []
    for row in range(1, 4):
        for column in range(1, 6):
            x, y, w = matrix @ [column, row, 1.0]
            true.append((x / w, y / w))
            corner = f"{x / w:.3f},{y / w:.3f}" if row in (1, 3) and column in (1, 5) else ","
            rows.append(f"{row},{column},50,0,0,{corner}")
    path = tmp_path / "target.csv"
    path.write_text("\n".join(rows), encoding="utf-8")
    assert read_colour_target(path).at_px == pytest.approx(np.array(true), abs=0.01)
    path.write_text("\n".join([*rows[:-1], "3,5,50,0,0,,"]), encoding="utf-8")
    with pytest.raises(InputProblem, match="found 3 places; row and column of every patch"):
        read_colour_target(path)
