"""CGATS text: read as measuring programs write it, refused with its sentence, and written."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.uses.calibration.patches import sheet_patches
from separations.uses.calibration.sheet_by_tones import read_sheet
from separations.uses.calibration.target_files import target_cgats

Write = Callable[..., Path]

GOOD = """CGATS.17
ORIGINATOR "a made-up program"
MEASUREMENT_SOURCE "M1"
SAMPLE_BACKING "black"
NUMBER_OF_FIELDS 5
BEGIN_DATA_FORMAT
SAMPLE_ID SAMPLE_NAME LAB_L LAB_A LAB_B
END_DATA_FORMAT
NUMBER_OF_SETS 2
BEGIN_DATA
1 A1 74.0 6.0 26.0
2 "A2" 70.5 5.0 30.0
END_DATA
"""


@pytest.mark.parametrize("change", [
    ("", ""), ("\n", "\r\n"), ("\n", "\r"), ("74.0 6.0 26.0", "74,0 6,0 26,0"),
    ("SAMPLE_ID SAMPLE_NAME LAB_L LAB_A LAB_B", "SAMPLE_ID\tSAMPLE_NAME\tLAB_L\tLAB_A\tLAB_B"),
    ("1 A1 74.0 6.0 26.0", "1\tA1\t74.0\t6.0\t26.0")])
def test_wildly_written_files_are_read(
    small_job: Write, tmp_path: Path, change: tuple[str, str]
) -> None:
    job = read_job(small_job())
    path = tmp_path / "read.txt"
    path.write_bytes((GOOD.replace(*change) if change[0] else GOOD).encode())
    readings = read_sheet(path, job)[1]
    np.testing.assert_allclose(readings.lab[:2], np.array([[74.0, 6, 26], [70.5, 5, 30]]))
    assert np.isnan(readings.lab[2:]).all()
    assert readings.condition.says == "MEASUREMENT_SOURCE M1; SAMPLE_BACKING black"
    assert (readings.condition.mode, readings.condition.backing) == ("M1", "black")


@pytest.mark.parametrize(("change", "says"), [
    (("END_DATA\n", "X\n"), "BEGIN_DATA 1 time and END_DATA 0 times"),
    (("NUMBER_OF_SETS 2", "NUMBER_OF_SETS 3"), "2 rows where NUMBER_OF_SETS says 3"),
    (("1 A1 74.0 6.0 26.0", "1 A1 74.0 6.0"), "line 11: found 4 cells"),
    (("LAB_L LAB_A LAB_B", "LAB_L LAB_L LAB_B"), "the field 'LAB_L' twice"),
    (("LAB_L LAB_A LAB_B", "RGB_R RGB_G RGB_B"), "found the fields SAMPLE_ID"),
    (("CGATS.17\n", "CGATS.17\nILLUMINATION_NAME \"D65\"\n"), "colours for D65"),
    (("CGATS.17\n", "CGATS.17\nOBSERVER_ANGLE \"10\"\n"), "colours for 10°"),
    (("1 A1", "1 Q9"), "the patch 'Q9'"), (("2 \"A2\"", "2 A1"), "a second row"),
    (("74.0 6.0", "740 6.0"), "'740'"), (("74.0 6.0", "nan 6.0"), "'nan'")])
def test_bad_files_are_refused(
    small_job: Write, tmp_path: Path, change: tuple[str, str], says: str
) -> None:
    job = read_job(small_job())
    path = tmp_path / "read.txt"
    path.write_text(GOOD.replace(*change))
    with pytest.raises(InputProblem) as found:
        read_sheet(path, job)[1]
    assert says in str(found.value)


def test_the_target_names_all_patches_and_tones(small_job: Write) -> None:
    job = read_job(small_job())
    patches = sheet_patches(job)
    lines = target_cgats(job, patches).splitlines()
    rows = lines[lines.index("BEGIN_DATA") + 1:lines.index("END_DATA")]
    assert len(rows) == len(patches)
    assert rows[1].split("\t") == ["A2", "2", "0", "0", "0"]
    assert f"NUMBER_OF_SETS {len(patches)}" in lines
