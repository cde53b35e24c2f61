"""Spectra as colours, against colour-science and worked sums.

Sources: ASTM E308 as colour-science 0.4 carries it (weights by ASTM E2022), D50, CIE 1931 observer.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.colour.colorimetry import xyz_to_lab
from separations.colour.spectra import reflectance_to_xyz
from separations.uses.calibration.sheet_by_tones import read_sheet

WAVES = np.arange(400, 701, 10)
RAMP = 0.1 + 0.6 * (WAVES - 400) / 300
STEP = 0.05 + 0.75 / (1 + np.exp(-(WAVES - 580) / 12))


@pytest.mark.parametrize(("spectrum", "xyz"), [
    (RAMP, (43.6347, 42.0821, 17.7635)), (STEP, (45.9041, 29.8964, 4.1827)),
    (np.ones(31), (96.4238, 100.0, 82.5129))])
def test_worked_sums(spectrum: np.ndarray, xyz: tuple[float, float, float]) -> None:
    found = 100.0 * reflectance_to_xyz(400, spectrum[None])[0]
    np.testing.assert_allclose(found, xyz, atol=0.006)


@pytest.mark.parametrize(("spectrum", "xyz"), [
    (RAMP, (43.6347, 42.0823, 17.7599)), (STEP, (45.8832, 29.9122, 4.1805)),
    (np.ones(31), (96.4238, 100.0, 82.5129))])
def test_worked_sums_of_20_nm(spectrum: np.ndarray, xyz: tuple[float, float, float]) -> None:
    found = 100.0 * reflectance_to_xyz(400, spectrum[None, ::2], 20)[0]
    np.testing.assert_allclose(found, xyz, atol=0.006)


@pytest.mark.parametrize("step", [10, 20])
def test_the_tables_are_the_librarys(step: int) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it looks for libraries to draw with
        import colour
    fine = colour.SpectralShape(360, 780, 1)
    theirs = colour.colorimetry.tristimulus_weighting_factors_ASTME2022(
        colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(fine),
        colour.SDS_ILLUMINANTS["D50"].copy().align(fine), colour.SpectralShape(360, 780, step))
    ours = 100.0 * reflectance_to_xyz(360, np.eye(len(theirs)), step)
    np.testing.assert_allclose(ours, theirs, atol=0.0006)


@pytest.mark.parametrize("heading", ["nm{}", "SPECTRAL_NM_{}", "SPEC_{}"])
@pytest.mark.parametrize("full", [1.0, 100.0])
def test_spectral_columns_are_read(
    small_job: Callable[..., Path], tmp_path: Path, heading: str, full: float
) -> None:
    job = read_job(small_job())
    path = tmp_path / "read.csv"
    rows = [["patch", *(heading.format(wave) for wave in WAVES)],
            ["A1", *(f"{full * v:.6f}" for v in RAMP)], ["A2", *(f"{full * v:.6f}" for v in STEP)]]
    path.write_text("\n".join(",".join(row) for row in rows))
    found = read_sheet(path, job)[1].lab
    np.testing.assert_allclose(
        found[:2], xyz_to_lab(reflectance_to_xyz(400, np.array([RAMP, STEP]))), atol=1e-3)
    assert np.isnan(found[2:]).all()


@pytest.mark.parametrize(("waves", "cells", "says"), [
    ([*range(400, 701, 30)], None, "11 wavelengths"), ([*range(390, 711, 20)], None, "17 wave"),
    ([*range(450, 701, 10)], None, "every 10 or 20 nm"),
    ([*range(400, 690, 10), 700], None, "400 to 700 nm, 680 and 700 nm next to each other; refl"),
    (list(WAVES), 30, "patch A1: found a spectrum with a wavelength missing")])
def test_bad_spectra_are_refused(
    small_job: Callable[..., Path], tmp_path: Path, waves: list[int], cells: int | None, says: str
) -> None:
    job = read_job(small_job())
    path = tmp_path / "read.csv"
    path.write_text("patch," + ",".join(f"nm{wave}" for wave in waves) + "\nA1,"
                    + ",".join(["0.5"] * (cells or len(waves))) + "\n")
    with pytest.raises(InputProblem, match=says):
        read_sheet(path, job)[1]
