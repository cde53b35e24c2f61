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
from tests.pdf_pages import halves, write_pdf
from tests.small_art import write_small_job

#: Photograph and line work in megapixels, and the peak of a run's process (MiB), measured with
#: the demo's board and drawing and with tests/small_art.py; DEVELOPERS.md has the table.
MEASURED = ((0.45, 1.8, 45, 487), (8, 125, 45, 868), (28.8, 125, 45, 1187),
            (51.2, 125, 45, 1164), (100, 125, 45, 1466), (200, 125, 45, 1673),
            (28.8, 125, 65, 1369), (28.8, 125, 85, 1524), (100, 125, 85, 2207))
#: The same with a page of a PDF as the photograph: its file in megabytes, as it is drawn in
#: megapixels, and the peak. The first is 20,000 shapes, the second 5,000 see-through ones on a
#: picture, the others a JPEG or a deflated picture alone.
MEASURED_PAGES = ((1.7, 33, 1351), (4.0, 33, 1235), (3.6, 33, 1191), (17.9, 33, 1183),
                  (64.8, 33, 1198))
#: The first once more at 85 lines/inch.
MEASURED_PAGES_AT_85 = ((1.7, 118, 2409),)


def _job(folder: Path, monkeypatch: pytest.MonkeyPatch, photo: float, lines: float,
         lpi: float = 45) -> Job:
    sizes = {"photo.png": photo, "lines.png": lines}
    monkeypatch.setattr(job_need, "_megapixels", lambda _job, art: sizes[art.file])
    return read_job(write_small_job(folder, ('"45 lpi"', f'"{lpi} lpi"')))


@pytest.mark.parametrize(("photo", "lines", "lpi", "peak_mib"), MEASURED)
def test_no_run_took_more(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, photo: float,
                          lines: float, lpi: float, peak_mib: float) -> None:
    need = reckoned_need_bytes(_job(tmp_path, monkeypatch, photo, lines, lpi)) / 2**20
    assert peak_mib <= need <= 1.3 * peak_mib


@pytest.mark.parametrize(("file_mb", "drawn", "lpi", "peak_mib"), [
    *((*row[:2], 45, row[2]) for row in MEASURED_PAGES),
    *((*row[:2], 85, row[2]) for row in MEASURED_PAGES_AT_85)])
def test_no_run_with_a_page_took_more(
        tmp_path: Path, monkeypatch: pytest.MonkeyPatch, file_mb: float, drawn: float, lpi: float,
        peak_mib: float) -> None:
    monkeypatch.setattr(job_need, "_drawn_megapixels", lambda _job: drawn)
    monkeypatch.setattr(job_need, "_drawn_megabytes",
                        lambda _job, art: file_mb if art.file.endswith(".pdf") else 0.0)
    job = _job(tmp_path, monkeypatch, 0, 125, lpi)
    page = replace(job.art[0], file="page.pdf")
    need = reckoned_need_bytes(replace(job, art=(page, job.art[1]))) / 2**20
    assert peak_mib <= need <= 1.5 * peak_mib


def test_a_page_counts_as_it_will_be_drawn(tmp_path: Path) -> None:
    """At 45 lines/inch as a photograph of 202.5 ppi, and its file besides."""
    job = read_job(write_small_job(tmp_path, ('"photo.png"', '"page.pdf"')))
    assert job_need._drawn_megapixels(job) == 0.0  # there is none yet
    page = write_pdf(tmp_path / "page.pdf", halves, size=(850.0, 255.0))
    # It fills 31 by 9.1 cm: 30 by 8 cm, and 5 mm more on each side.
    drawn = 310 / 25.4 * 202.5 * (310 * 255 / 850) / 25.4 * 202.5 / 1e6
    assert job_need._drawn_megapixels(job) == pytest.approx(drawn, rel=0.01)
    assert job_need._drawn_megabytes(job, job.art[0]) == page.stat().st_size / 1e6
    assert job_need._drawn_megabytes(job, job.art[1]) == 0.0


def test_a_drawing_counts_for_what_its_corners_may_be(tmp_path: Path) -> None:
    """The demo with 300 curved strokes of a PDF as its drawing held 1237 MiB."""
    job = read_job(write_small_job(tmp_path, ('"lines.png"', '"lines.svg"')))
    (tmp_path / "lines.svg").write_text("<svg/>", encoding="utf-8")
    photo = 1240 * 360 / 1e6
    assert reckoned_need_bytes(job) / 2**20 == pytest.approx(500 + 15.5 * photo + 300, abs=0.1)
    assert 500 + 15.5 * 28.8 + 300 >= 1237


def test_pictures_are_measured_by_their_heads(tmp_path: Path) -> None:
    job = read_job(write_small_job(tmp_path))
    small = reckoned_need_bytes(job)
    Image.new("L", (6000, 5000)).save(tmp_path / "photo.png")
    assert reckoned_need_bytes(job) - small == pytest.approx(
        (30 - 1240 * 360 / 1e6) * 15.5 * 2**20, rel=1e-6)
    (tmp_path / "photo.png").write_bytes(b"no picture")
    assert reckoned_need_bytes(job) < small
    assert reckoned_need_bytes(replace(job, art=())) == 500 * 2**20
