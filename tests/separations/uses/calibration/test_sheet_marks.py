"""The sheet's marks: how far they differ, and OpenCV's own detector on the films."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pypdfium2

from preflight.job_file.job_reader import read_job
from separations.uses.calibration.calibration_run import make_wedge
from separations.uses.calibration.patches import sheet_patches
from separations.uses.calibration.sheet_marks import (
    MARK_MM,
    figure_told,
    mark_fields,
    place_told,
    sheet_number,
)
from separations.uses.calibration.wedge_films import wedge_sheet
from tests.made_up_scans import write_two_ink_job

DPI = 300


def test_marks_turned_or_mirrored_differ_in_ten_fields() -> None:
    marks = mark_fields()
    looks = np.stack([np.rot90(side, turn, axes=(1, 2)) for side in (marks, marks[:, :, ::-1])
                      for turn in range(4)]).reshape(8, len(marks), -1).astype(int)
    for look, others in enumerate(looks):
        apart = (looks[0][:, None] != others[None]).sum(axis=2)
        if look == 0:
            np.fill_diagonal(apart, 36)
        assert apart.min() >= 10


def test_the_detector_finds_every_mark_on_the_films_in_its_place(tmp_path: Path) -> None:
    job_path = write_two_ink_job(tmp_path / "job")
    job = read_job(job_path)
    patches = sheet_patches(job)
    laid, number = wedge_sheet(job, patches), sheet_number(job, patches)
    # OpenCV's own way from fields to its list; nothing of our finder has a part in it
    aruco: Any = cv2.aruco
    known = aruco.Dictionary(np.concatenate([
        aruco.Dictionary_getByteListFromBits(one) for one in mark_fields()]), 6)
    how = aruco.DetectorParameters()
    how.minMarkerPerimeterRate = 0.01
    how.cornerRefinementMethod = aruco.CORNER_REFINE_SUBPIX
    detector = aruco.ArucoDetector(known, how)
    rows: list[int] = []
    for name in make_wedge(job_path, tmp_path / "wedge"):
        with pypdfium2.PdfDocument(tmp_path / "wedge" / name) as document:
            page = document[0]
            shown = np.asarray(page.render(scale=DPI / 72, grayscale=True).to_pil())
            left, _, _, top = page.get_trimbox()
            high = page.get_height()
            pixel_mm = high * 25.4 / 72 / len(shown)
        corners, codes, _ = detector.detectMarkers(shown)
        at_mm = {int(code): (four.reshape(4, 2) + 0.5) * pixel_mm
                 - np.array([left, high - top]) * 25.4 / 72
                 for four, code in zip(corners, codes.ravel(), strict=True)}
        for code, found in at_mm.items():
            if (place := place_told(code)) is None:
                figure, value = figure_told(code)
                assert number.figures[figure] == value
                continue
            rows.append(place[0])
            square = MARK_MM * np.array([[0, 0], [1, 0], [1, 1], [0, 1]])
            assert np.abs(found - np.array(laid.mark_mm(*place)) - square).max() < 0.1
    assert sorted(rows) == [row for row in range(5) for _ in range(5)]
