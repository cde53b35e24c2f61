"""Each check of a photograph's quality: in order, just failing, absurd; and the place."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest

from preflight.checks import limits
from preflight.checks.catalogue import run_checks
from preflight.checks.limit_row import Limit
from preflight.findings import Finding, Grade
from preflight.photo_quality.photo_facts import PhotoFacts
from separations.pipeline.prepared_job import PreparedJob
from tests.prepared_jobs import prepare

Write = Callable[..., Path]


@pytest.fixture(scope="module")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> PreparedJob:
    from tests.small_art import write_small_job

    folder = tmp_path_factory.mktemp("quality") / "job"
    return prepare(write_small_job(folder), finest_ppi=40.0)


def graded(prepared: PreparedJob, check: str, **changes: object) -> Finding:
    photo: PhotoFacts = replace(prepared.submission.photos[0], **changes)  # type: ignore[arg-type]
    found = run_checks(replace(prepared.submission, photos=(photo,)))
    finding = next(f for f in found if f.id == check)
    assert finding.source
    assert bool(finding.mend) == (finding.grade is not Grade.CLEAR)
    return finding


@pytest.mark.parametrize(("ppi", "grade"), [
    (90, Grade.CLEAR), (62, Grade.NOTE), (46, Grade.CARE), (20, Grade.STOP)])
def test_true_pixels(prepared: PreparedJob, ppi: float, grade: Grade) -> None:
    # 45 lpi: 1.4, 1.05 and 0.5 true pixels per line are 63, 47.25 and 22.5 ppi.
    check = "true-pixels"
    for times in (1.0, 2.0):
        found = graded(prepared, check, ppi=ppi * times, true_fraction=1 / times, enlarged_by=2.0)
        assert found.grade is grade
    soft = graded(prepared, check, ppi=ppi, true_fraction=1.0, enlarged_by=None)
    assert soft.grade is (Grade.CARE if grade is Grade.STOP else grade)


@pytest.mark.parametrize(("ppi", "is_spread", "grade"), [
    (20, True, Grade.CARE), (19, True, Grade.STOP), (19, False, Grade.CARE),
    (1, False, Grade.CARE)])
def test_what_was_sharp_once_is_a_stop_beyond_the_doubt_of_measuring(
    prepared: PreparedJob, ppi: float, is_spread: bool, grade: Grade
) -> None:
    # 0.5 true pixels per line less 15 % are 19.6 ppi at 45 lpi.
    found = graded(prepared, "true-pixels", ppi=ppi * 4.0, true_fraction=0.25, enlarged_by=None,
                   is_spread=is_spread)
    assert found.grade is grade
    assert ("--despite-stops" in found.mend) == (grade is Grade.STOP)


@pytest.mark.parametrize(("true_fraction", "sharp"), [(0.71, True), (0.69, False)])
def test_a_sharp_photo_of_few_pixels_is_not_told_that_it_was_enlarged(
    prepared: PreparedJob, true_fraction: float, sharp: bool
) -> None:
    found = graded(prepared, "true-pixels", ppi=40.0, true_fraction=true_fraction)
    assert ("as sharp as its pixels" in found.mend, "before it was enlarged" in found.mend) == (
        sharp, not sharp)


def test_a_photo_that_tells_nothing_is_a_note(prepared: PreparedJob) -> None:
    finding = graded(prepared, "true-pixels", true_fraction=None)
    assert finding.grade is Grade.NOTE


@pytest.mark.parametrize(("check", "changes", "grade"), [
    ("jpeg-blocks", {"block_step": 0.3}, Grade.CLEAR),
    ("jpeg-blocks", {"block_step": 0.31}, Grade.NOTE),
    ("jpeg-blocks", {"block_step": 9.0}, Grade.CARE),
    ("smooth-gradients", {"stepped": 0.002, "missing_levels": 0.25}, Grade.CLEAR),
    ("smooth-gradients", {"stepped": 0.0, "missing_levels": 0.26}, Grade.NOTE),
    ("smooth-gradients", {"stepped": 0.0021, "missing_levels": 0.0}, Grade.NOTE),
    ("smooth-gradients", {"stepped": 1.0, "missing_levels": 1.0}, Grade.CARE),
    ("clipped-highlights", {"blown": 0.01}, Grade.CLEAR),
    ("clipped-highlights", {"blown": 0.011}, Grade.NOTE),
    ("clipped-highlights", {"blown": 1.0}, Grade.CARE),
    ("blocked-shadows", {"blocked": 0.01}, Grade.CLEAR),
    ("blocked-shadows", {"blocked": 0.011}, Grade.NOTE),
    ("blocked-shadows", {"blocked": 1.0}, Grade.CARE),
    ("noise", {"cell_noise": 1.0}, Grade.CLEAR),
    ("noise", {"cell_noise": 1.01}, Grade.NOTE),
    ("noise", {"cell_noise": 30.0, "noise_is_fine": True}, Grade.CARE),
    ("noise", {"cell_noise": 30.0, "noise_is_fine": False}, Grade.NOTE),
    ("filtered-texture", {"filter_marks": 1.0}, Grade.CLEAR),
    ("filtered-texture", {"filter_marks": 1.01}, Grade.NOTE),
    ("filtered-texture", {"filter_marks": 99.0}, Grade.NOTE),
])
def test_limits(
    prepared: PreparedJob, check: str, changes: dict[str, object], grade: Grade
) -> None:
    assert graded(prepared, check, **changes).grade is grade


@pytest.mark.parametrize(("block_step", "stepped", "compression"), [
    (0.31, 0.0021, True), (0.3, 0.0021, False), (0.31, 0.002, False)])
def test_steps_that_jpeg_may_have_made_send_back_to_the_photo_before_it(
    prepared: PreparedJob, block_step: float, stepped: float, compression: bool
) -> None:
    finding = graded(prepared, "smooth-gradients", block_step=block_step, stepped=stepped,
                     missing_levels=0.26)
    assert finding.grade is Grade.NOTE
    assert ("use the photo as it was before" in finding.mend) is compression
    assert "16 bits a channel" in finding.mend


def test_the_place_lies_where_the_fault_is(small_job: Write) -> None:
    path = small_job()
    photo = path.parent / "photo.png"
    pixels = np.array(cv2.imread(str(photo)))
    # The art's right end lies at the nose (turn = 90): its upper edge is then at the left, +y.
    pixels[60:170, 900:1010] = 255
    cv2.imwrite(str(photo), pixels)
    facts = prepare(path, finest_ppi=40.0).submission.photos[0]
    art = prepare(path, finest_ppi=40.0).submission.art[0].placed
    assert facts.place_blown is not None
    x, y = art.board_of(np.array([955.0, 115.0]))
    place = facts.place_blown
    assert place.least_x_mm <= x <= place.greatest_x_mm
    assert place.least_y_mm <= y <= place.greatest_y_mm
    corner = facts.map_to_board @ np.array([0.0, 0.0, 1.0])
    # The map lies as the picture's own orientation does: its first tile at one of the corners.
    corners = [art.board_of(np.array(at)) for at in (
        (0.0, 0.0), (art.width_px, 0.0), (0.0, art.height_px), (art.width_px, art.height_px))]
    assert any(corner[:2] == pytest.approx(at) for at in corners)


@pytest.mark.parametrize(("check", "changes", "note", "care"), [
    ("jpeg-blocks", {"block_step": 9.0}, limits.BLOCK_STEP, limits.BLOCK_STEP_SEEN),
    ("smooth-gradients", {"stepped": 1.0}, limits.STEPPED, limits.STEPPED_MUCH),
    ("clipped-highlights", {"blown": 1.0}, limits.CLIPPED, limits.CLIPPED_MUCH),
    ("blocked-shadows", {"blocked": 1.0}, limits.CLIPPED, limits.CLIPPED_MUCH),
    ("noise", {"cell_noise": 30.0, "noise_is_fine": True}, limits.CELL_NOISE,
     limits.CELL_NOISE_MUCH)])
def test_a_care_shows_the_limit_of_a_care(prepared: PreparedJob, check: str,
                                          changes: dict[str, float], note: Limit,
                                          care: Limit) -> None:
    found = graded(prepared, check, **changes)
    assert (found.grade, found.limit) == (Grade.CARE, care.figure)
    less = {key: value * (note.value + care.value) / 2 / found.measured.value
            if isinstance(value, float) else value for key, value in changes.items()}
    assert (graded(prepared, check, **less).grade,
            graded(prepared, check, **less).limit) == (Grade.NOTE, note.figure)


def test_a_stop_shows_the_limit_of_a_stop(prepared: PreparedJob) -> None:
    soft = graded(prepared, "true-pixels", ppi=20.0, true_fraction=1.0, enlarged_by=2.0)
    assert (soft.grade, soft.limit) == (Grade.STOP, limits.TRUE_PIXELS_TO_WASTE.least)
