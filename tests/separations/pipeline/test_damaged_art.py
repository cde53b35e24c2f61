"""A damaged picture in a job: refused, or accepted and told with its place and a picture."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

from preflight.findings import Finding, Grade
from preflight.input_problem import InputProblem
from separations.pipeline.calls import check_job, run_job
from tests.coarse_job import write_coarse_job
from tests.small_art import small_photo


def job_with(folder: Path, data: bytes, *more: tuple[str, str], accept: bool = False) -> Path:
    accepted = "\naccept_damage = true" if accept else ""
    job = write_coarse_job(folder, ('file = "photo.png"', f'file = "photo.jpg"{accepted}'), *more)
    (folder / "photo.jpg").write_bytes(data)
    return job


def jpeg() -> bytes:
    return cv2.imencode(".jpg", small_photo()[:, :, ::-1],
                        [cv2.IMWRITE_JPEG_QUALITY, 90])[1].tobytes()


def told(findings: tuple[Finding, ...]) -> list[Finding]:
    return [finding for finding in findings if finding.id == "picture-damage"]


def test_a_cut_photo_is_refused_unless_accepted(tmp_path: Path) -> None:
    data = jpeg()
    cut = data[:len(data) * 6 // 10]
    with pytest.raises(InputProblem, match=r"damaged picture .*accept_damage = true"):
        check_job(job_with(tmp_path / "a", cut))
    outcome = run_job(job_with(tmp_path / "b", cut, accept=True), tmp_path / "out")
    findings = told(outcome.findings)
    assert {finding.grade for finding in findings} == {Grade.CARE}
    # What was cut off is grey now, and that has a place: the photo's foot, turned to one side.
    seen = next(finding for finding in findings if finding.place is not None)
    assert 20 < seen.measured.value < 60
    assert any(picture.title == "Damage of photo.jpg" for picture in outcome.extra_pictures)
    assert "Damage of photo.jpg" in (tmp_path / "out" / "report.html").read_text(encoding="utf-8")


def test_a_photo_that_looks_damaged_withholds_the_films(tmp_path: Path) -> None:
    photo = small_photo().astype(int)
    photo[176:] += 30
    photo[160:176, 400:] += 30
    data = cv2.imencode(".jpg", np.clip(photo, 0, 255).astype(np.uint8)[:, :, ::-1],
                        [cv2.IMWRITE_JPEG_QUALITY, 95])[1].tobytes()
    (finding,) = told(check_job(job_with(tmp_path / "a", data)).findings)
    assert finding.grade is Grade.STOP
    assert finding.place is not None
    assert "accept_damage" in finding.mend
    (finding,) = told(check_job(job_with(tmp_path / "b", data, accept=True)).findings)
    assert finding.grade is Grade.CARE
    assert not told(check_job(job_with(tmp_path / "c", jpeg())).findings)


def test_damaged_line_work_is_refused(tmp_path: Path) -> None:
    job = write_coarse_job(tmp_path / "job")
    lines = tmp_path / "job" / "lines.png"
    lines.write_bytes(lines.read_bytes()[:-30])
    with pytest.raises(InputProblem, match="damaged picture"):
        check_job(job)
