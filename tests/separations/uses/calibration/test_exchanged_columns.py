"""Readings whose columns stand under each other's heading, through `calibrate` itself."""

from __future__ import annotations

from itertools import permutations
from pathlib import Path

import numpy as np
import pytest

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.colour.colorimetry import lab_to_xyz
from separations.uses.calibration.calibration_run import calibrate
from separations.uses.calibration.exchanged_columns import check_columns
from separations.uses.calibration.patches import sheet_patches
from separations.uses.calibration.press_fit import fit_press
from separations.uses.calibration.readings import Readings
from separations.uses.calibration.sheet_by_tones import read_sheet
from separations.uses.calibration.suspects import suspect_readings
from tests.made_up_press import printed_sheet, write_readings
from tests.published.test_simulated_presses import plain_press, spectral_press
from tests.small_art import write_small_job
from tests.spectral_inks import WAVES

ORDERS = [order for order in permutations(range(3)) if order != (0, 1, 2)]


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("kind", ["Lab", "XYZ"])
def test_each_exchange_is_refused_with_a_sentence(
    tmp_path: Path, order: tuple[int, ...], kind: str
) -> None:
    path = write_small_job(tmp_path)
    job = read_job(path)
    patches, lab = printed_sheet(job, 1.7, 0.3, 1)
    values = lab if kind == "Lab" else 100.0 * lab_to_xyz(lab)
    read = write_readings(tmp_path / "m.csv", job, patches, values[:, order], columns=kind)
    with pytest.raises(InputProblem) as found:
        calibrate(path, read, tmp_path / "press")
    assert str(read) in found.value.sentence
    assert "exchanged" in found.value.sentence or "a reading from" in found.value.sentence
    assert not (tmp_path / "press").exists()


@pytest.mark.parametrize("press", ["told", "plain", "spectral"])
def test_presses_unlike_the_jobs_inks_are_let_through(tmp_path: Path, press: str) -> None:
    job = read_job(write_small_job(tmp_path))
    patches, lab = printed_sheet(job, 1.7, 0.5, 1)
    tones = np.array([patch.tones for patch in patches])
    if press != "told":
        lab = {"plain": plain_press, "spectral": spectral_press}[press](tones)
    check_columns(job, patches, Readings(density=np.full(len(lab), np.nan), lab=lab), "m.csv")


def test_a_reflectance_of_1_amid_percent_is_told_and_left_out(tmp_path: Path) -> None:
    """A file has one scale: a row of the other reads nearly black."""
    path = write_small_job(tmp_path)
    job = read_job(path)
    patches = sheet_patches(job)
    _, lab = printed_sheet(job, 1.7, 0.0, 1)
    grey = lab_to_xyz(lab)[:, 1]
    rows = ["patch," + ",".join(f"nm{wave:.0f}" for wave in WAVES)]
    for place, (patch, light) in enumerate(zip(patches, grey, strict=True)):
        full = 1.0 if place == 3 else 100.0
        rows.append(",".join([patch.name, *[f"{full * light:.4f}"] * 31]))
    (tmp_path / "m.csv").write_text("\n".join(rows) + "\n")
    readings = read_sheet(tmp_path / "m.csv", job)[1]
    assert readings.lab[3, 0] < 6 < readings.lab[2, 0]
    fit = fit_press(job, patches, readings, "m.csv", n=2.0)
    odd = suspect_readings(job, patches, readings, fit)
    assert patches[3].name in {suspect.patch for suspect in odd if suspect.left_out}
