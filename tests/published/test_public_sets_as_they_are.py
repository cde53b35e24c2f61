"""Nine public characterisation files go through `calibrate` as they are.

Sources: characterisation data of Fogra (FOGRA28L, 29L, 30L, 39L, 40L) and of CGATS (TR 002, 003,
005, 006), as Debian's icc-profiles-free installs them: CGATS text with the film tones of four
process inks, CIELAB and XYZ, 928 to 1617 patches. Skipped, with the package's name, where it is
missing. `pytest -m long -s` prints the table that DEVELOPERS.md has.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.colour.colorimetry import colour_difference
from separations.colour.job_inks import whole_model
from separations.uses.calibration.calibration_run import calibrate
from separations.uses.calibration.press_fit import fit_press
from separations.uses.calibration.sheet_by_tones import read_sheet
from tests.published.conftest import FOLDER
from tests.small_art import write_small_job

Reader = Callable[[str], Any]
#: Cyan, magenta, yellow and black of the sets, in the small job's print order.
ORDER = (2, 1, 0, 3)
NAMES = ("FOGRA28L", "FOGRA29L", "FOGRA30L", "FOGRA39L", "FOGRA40L", "TR002", "TR003", "TR005",
         "TR006")


@pytest.mark.parametrize("name", NAMES)
def test_each_file_is_read_whole(printed_patches: Reader, tmp_path: Path, name: str) -> None:
    told = printed_patches(name)
    patches, readings = read_sheet(FOLDER / f"{name}.ti3", read_job(write_small_job(tmp_path)))
    tones = np.array([patch.tones for patch in patches])
    assert len(np.unique(tones, axis=0)) == len(np.unique(told.tones, axis=0))
    assert not np.isnan(readings.lab).any()
    for index in (0, len(patches) // 2, len(patches) - 1):
        same = np.abs(told.tones[:, ORDER] - tones[index]).max(axis=1) < 1e-9
        np.testing.assert_allclose(readings.lab[index], told.lab[same].mean(axis=0), atol=1e-9)


@pytest.mark.long
@pytest.mark.parametrize("name", NAMES)
def test_the_profile_predicts_the_set(printed_patches: Reader, tmp_path: Path, name: str) -> None:
    """Never worse than the better form by over 5 %, by what the job then predicts."""
    told, path = printed_patches(name), FOLDER / f"{name}.ti3"
    job = write_small_job(tmp_path)
    found = calibrate(job, path, tmp_path / "press")
    (tmp_path / "p.toml").write_text((tmp_path / "press" / "press_profile.toml").read_text())
    job.write_text(job.read_text().replace("boards = 3", 'boards = 3\npress_profile = "p.toml"'))
    off = colour_difference(
        whole_model(read_job(job)).predict_lab(told.tones[:, ORDER]), told.lab)
    plain = fit_press(read_job(job), *read_sheet(path, read_job(job)), "set").model
    assert plain is not None
    by_one = colour_difference(plain.predict_lab(told.tones[:, ORDER]), told.lab).mean()
    print(f"| {name} | {len(told.tones)} | {by_one:.2f} | {off.mean():.2f} | "  # noqa: T201
          f"{off.max():.1f} | {len(found.suspects)} |")
    assert off.mean() <= 1.05 * by_one
    assert off.mean() <= 1.0
    assert len(found.suspects) <= 0.01 * len(told.tones)


HEAD = """CGATS.17
BEGIN_DATA_FORMAT
SAMPLE_ID {fields} LAB_L LAB_A LAB_B
END_DATA_FORMAT
BEGIN_DATA
{rows}
END_DATA
"""


@pytest.mark.parametrize(("fields", "rows", "says"), [
    ("5CLR_1 5CLR_2 5CLR_3 5CLR_4 5CLR_5", "1 0 0 0 0 0 90 0 0", "found film tones of 5 inks"),
    ("CMYK_C CMYK_M CMYK_Y CMYK_K", "1 0 0 0 0 90 0 0", "Yellow: found no tints of it alone"),
    ("CMYK_C CMYK_M CMYK_Y CMYK_K", "1 0 0 130 0 90 0 0", "CMYK_Y: found '130'"),
    ("4CLR_1 4CLR_2 4CLR_3 4CLR_4", "A1 0 0 0 0 74 6 26\nA8 0 50 0 0 60 6 26",
     "patch A8, Yellow: found a film tone of 0 %; 50 %, as the sheet of this job has it,"),
    ("4CLR_1 4CLR_2 4CLR_3 4CLR_4", "A8 0 50 0 0 60 6 26", "patch A8, Yellow")])
def test_other_sheets_are_refused(tmp_path: Path, fields: str, rows: str, says: str) -> None:
    path = tmp_path / "read.txt"
    path.write_text(HEAD.format(fields=fields, rows=rows))
    with pytest.raises(InputProblem) as found:
        read_sheet(path, read_job(write_small_job(tmp_path)))
    assert says in found.value.sentence


def test_a_job_of_other_inks_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "read.txt"
    path.write_text(HEAD.format(fields="CMYK_C CMYK_M CMYK_Y CMYK_K", rows="1 0 0 0 0 90 0 0"))
    job = write_small_job(tmp_path, ('name = "Cyan"\ncolour = "process cyan"',
                                     'name = "Sky"\nover_white = [60, -20, -30]'))
    with pytest.raises(InputProblem, match="film tones of cyan"):
        read_sheet(path, read_job(job))
