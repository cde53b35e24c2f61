"""One press read in each format: the same sheet, whatever a measuring program saved."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from separations.uses.calibration.best_n import best_n
from separations.uses.calibration.patches import sheet_patches
from separations.uses.calibration.sheet_by_tones import read_sheet
from separations.uses.calibration.target_files import target_cgats
from tests.made_up_press import printed_sheet, write_readings
from tests.small_art import write_small_job
from tests.spectral_inks import WAVES, write_cgats, write_csv, write_cxf

Write = Callable[..., Path]


@pytest.fixture
def job(tmp_path: Path) -> Job:
    return read_job(write_small_job(tmp_path))


def test_a_targets_rows_come_back_with_their_film_tones(job: Job, tmp_path: Path) -> None:
    patches, lab = printed_sheet(job, 1.7, 0.3, 1)
    asked = read_sheet(write_readings(tmp_path / "m.csv", job, patches, lab), job)[1].lab
    lines = target_cgats(job, patches).splitlines()
    first, last = lines.index("BEGIN_DATA") + 1, lines.index("END_DATA")
    lines[first:last] = [row + "\t" + "\t".join(f"{v:.4f}" for v in one)
                         for row, one in zip(lines[first:last], lab, strict=True)]
    text = "\r\n".join(lines).replace("4CLR_4", "4CLR_4\tLAB_L\tLAB_A\tLAB_B")
    (tmp_path / "m.txt").write_text(text)
    sheet, readings = read_sheet(tmp_path / "m.txt", job)
    assert sheet == patches
    np.testing.assert_allclose(readings.lab, asked, atol=1e-4)


def test_spectra_are_the_same_in_each_format(job: Job, tmp_path: Path) -> None:
    patches = sheet_patches(job)
    random = np.random.default_rng(2)
    rows = {patch.name: 0.1 + 0.8 * random.random() * (WAVES / 700.0) ** random.random()
            for patch in patches}
    read = [read_sheet(write(tmp_path / "m", rows), job)[1].lab
            for write in (write_csv, write_cgats, write_cxf)]
    assert not np.isnan(read[0]).any()
    for one in read[1:]:
        np.testing.assert_allclose(one, read[0], atol=1e-9)


@pytest.mark.parametrize("n", [1.0, 1.73, 2.5, 3.96, 4.0])
def test_the_best_n_lies_between_tenths(n: float) -> None:
    tried: list[float] = []

    def score(asked: float) -> float:
        tried.append(asked)
        return (asked - n) ** 2

    assert best_n(score) == pytest.approx(n, abs=0.041)
    assert len(tried) == len(set(tried)) <= 16
