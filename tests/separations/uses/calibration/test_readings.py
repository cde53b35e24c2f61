"""The operator's list as spreadsheets save it, and every fault one sentence."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.colour.colorimetry import lab_to_xyz
from separations.uses.calibration.patches import patches_csv, sheet_patches
from separations.uses.calibration.sheet_by_tones import read_sheet
from tests.made_up_press import printed_sheet, write_readings

Write = Callable[..., Path]


def problem(small_job: Write, tmp_path: Path, text: str) -> str:
    job = read_job(small_job())
    path = tmp_path / "m.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputProblem) as caught:
        read_sheet(path, job)[1]
    return caught.value.sentence.removeprefix(str(path))


@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_separators_decimal_commas_and_the_byte_order_mark(
    small_job: Write, tmp_path: Path, mark: str
) -> None:
    job = read_job(small_job())
    patches, lab = printed_sheet(job, 1.7, 0.3, 1)
    path = write_readings(tmp_path / "m.csv", job, patches, lab, mark=mark)
    np.testing.assert_allclose(read_sheet(path, job)[1].lab, lab, atol=1e-4)
    path.write_bytes(path.read_bytes().decode("utf-8-sig").encode("utf-16"))
    np.testing.assert_allclose(read_sheet(path, job)[1].lab, lab, atol=1e-4)


@pytest.mark.parametrize("full", [1.0, 100.0])
def test_xyz_on_either_scale(small_job: Write, tmp_path: Path, full: float) -> None:
    job = read_job(small_job())
    patches, lab = printed_sheet(job, 1.7, 0.0, 1)
    xyz = np.array([np.round(full * lab_to_xyz(row), 4) for row in lab])
    path = write_readings(tmp_path / "m.csv", job, patches, xyz, columns="XYZ")
    np.testing.assert_allclose(read_sheet(path, job)[1].lab, lab, atol=0.3)


def test_quoted_decimal_commas_missing_patches_and_columns(
    small_job: Write, tmp_path: Path
) -> None:
    job = read_job(small_job())
    path = tmp_path / "m.csv"
    path.write_text('patch,D\na1,"0,31"\n\n# remark\nB3,1.2\nC1,\n', encoding="utf-8")
    density = read_sheet(path, job)[1].density
    assert density[0] == 0.31
    assert density[17] == 1.2
    assert np.isnan(density).sum() == len(density) - 2


def test_the_list_as_written_has_no_readings(small_job: Write, tmp_path: Path) -> None:
    job = read_job(small_job())
    text = patches_csv(job, sheet_patches(job))
    assert problem(small_job, tmp_path, text) == (
        ": found no readings; densities (D), CIELAB (L, a, b) or XYZ of the patches would do.")


@pytest.mark.parametrize(("text", "sentence"), [
    ("patch,D\nA1,0.1\nA1,0.2\n",
     ": line 3, patch A1: found a second row for it, after line 2; one row for each patch would "
     "do."),
    ("patch,D\nZ9,0.1\n",
     ": line 2: found the patch 'Z9'; one from A1 to K5 of the sheet would do."),
    ("patch,D\nA1,dark\n",
     ": line 2, patch A1, D: found 'dark'; a reading from -1 to 6 would do."),
    ("patch,D\nA1,nan\n",
     ": line 2, patch A1, D: found 'nan'; a reading from -1 to 6 would do."),
    ("patch,D\nA1,9e999\n",
     ": line 2, patch A1, D: found '9e999'; a reading from -1 to 6 would do."),
    ("patch,L,a,b\nA2,101,0,0\n",
     ": line 2, patch A2, L: found '101'; a reading from 0 to 100 would do."),
    ("patch,L,a,b\nA2,50,0,\n",
     ": patch A2: found a colour with a coordinate missing; L, a and b would do."),
    ("patch,L,a,b,X,Y,Z\nA2,50,0,0,1,1,1\n",
     ": patch A2: found CIELAB and XYZ that differ by ΔE00 38; one colour for D50 and 2° in "
     "both, or one of the two, would do."),
    ("patch,Cyan film %,D\nA2,50,0.2\n", ": line 2, patch A2, Cyan: found a film tone of 50 %; "
     "0 %, as the sheet of this job has it, would do."),
    ("patch,D\nA1,0,31\n", ": line 2: found 3 cells; 2 cells, one for each heading (with "
     "decimal commas the numbers in quotes, or ';' between cells), would do."),
    ("patch,D,D\nA1,1,1\n", ": line 1: found the heading 'D' twice; each heading once would do."),
    ("", ": found an empty table; a heading and rows would do."),
])
def test_faults(small_job: Write, tmp_path: Path, text: str, sentence: str) -> None:
    assert problem(small_job, tmp_path, text) == sentence


def test_unknown_headings_and_files_that_are_no_text(small_job: Write, tmp_path: Path) -> None:
    assert problem(small_job, tmp_path, "patch,density\nA1,1\n").startswith(
        ": heading: found 'density'; one of 'Black film %', 'Cyan film %', 'D',")
    job = read_job(small_job())
    for raw, found in ((b"patch,D\n\xff", "no UTF-8"), (b"patch,D\nA1,\0", "no text"),
                       (b"a" * 4_000_001, "more than 4 MB"),
                       (b"patch,D\n" + b"a" * 200_000, "not a table row")):
        path = tmp_path / "raw.csv"
        path.write_bytes(raw)
        with pytest.raises(InputProblem, match=found):
            read_sheet(path, job)[1]
    with pytest.raises(InputProblem, match="no such file"):
        read_sheet(tmp_path / "none.csv", job)[1]
