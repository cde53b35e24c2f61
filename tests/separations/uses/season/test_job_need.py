"""The memory that jobs are reckoned to take is never less than what runs were seen to take."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from separations.uses.season import job_need
from separations.uses.season.job_need import reckoned_need_bytes
from tests.small_art import write_small_job

#: Photograph and line work in megapixels, and the peak of a run's process (MiB), measured with
#: the demo's board and drawing and with tests/small_art.py; DEVELOPERS.md has the table.
MEASURED = ((0.45, 1.8, 487), (8, 125, 868), (28.8, 125, 1187), (51.2, 125, 1164),
            (100, 125, 1466), (200, 125, 1673))


def _job(folder: Path, monkeypatch: pytest.MonkeyPatch, photo: float, lines: float) -> Job:
    sizes = {"photo.png": photo, "lines.png": lines}
    monkeypatch.setattr(job_need, "_megapixels", lambda path: sizes[path.name])
    return read_job(write_small_job(folder))


@pytest.mark.parametrize(("photo", "lines", "peak_mib"), MEASURED)
def test_no_run_took_more(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, photo: float,
                          lines: float, peak_mib: float) -> None:
    need = reckoned_need_bytes(_job(tmp_path, monkeypatch, photo, lines)) / 2**20
    assert peak_mib <= need <= 1.3 * peak_mib


def test_pictures_are_measured_by_their_heads(tmp_path: Path) -> None:
    job = read_job(write_small_job(tmp_path))
    small = reckoned_need_bytes(job)
    Image.new("L", (6000, 5000)).save(tmp_path / "photo.png")
    assert reckoned_need_bytes(job) - small == pytest.approx(
        (30 - 1240 * 360 / 1e6) * 15.5 * 2**20, rel=1e-6)
    (tmp_path / "photo.png").write_bytes(b"no picture")
    assert reckoned_need_bytes(job) < small
    assert reckoned_need_bytes(replace(job, art=())) == 500 * 2**20
