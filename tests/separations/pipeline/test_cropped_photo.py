"""A cropped photograph through all steps: as if the file had held nothing else."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import pytest

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.pipeline.fact_stages import FINDINGS, PHOTO_FACTS
from separations.pipeline.session import Session
from separations.pipeline.stages import PHOTO_TONES, PHOTOS_PLACED
from tests.small_art import small_photo

Write = Callable[..., Path]
PHOTO = 'file = "photo.png"'
CROP = f'{PHOTO}\ncrop = {{ left = "10 %", top = "40 px", right = "116 px" }}'


def test_planes_facts_and_findings_are_those_of_a_file_saved_cropped(small_job: Write) -> None:
    session = Session(small_job((PHOTO, CROP)))
    cropped = session.all_of(PHOTOS_PLACED, PHOTO_TONES, PHOTO_FACTS, FINDINGS)
    path = small_job()
    cv2.imwrite(str(path.parent / "photo.png"), small_photo()[40:, 124:1124, ::-1])
    saved = Session(path).all_of(PHOTOS_PLACED, PHOTO_TONES, PHOTO_FACTS, FINDINGS)
    assert cropped[0][0].placed == saved[0][0].placed
    assert np.array_equal(cropped[1].planes, saved[1].planes)
    for one, other in zip(cropped[2], saved[2], strict=True):
        assert np.array_equal(one.true_ppi_map, other.true_ppi_map, equal_nan=True)
        assert np.array_equal(one.preview, other.preview)
        assert np.allclose(one.preview_to_board, other.preview_to_board)
        assert one.place_softest == other.place_softest
    assert cropped[3] == saved[3]
    pixels = next(one for one in cropped[3] if one.id == "pixels-for-ruling")
    assert "1000 × 320 pixels" in pixels.says


def test_two_crops_of_one_file_are_each_their_own(small_job: Write) -> None:
    other = '[[art]]\nfile = "photo.png"\nturn = 90\nplace = "fit"\ncrop = { right = "50 %" }\n'
    session = Session(small_job((PHOTO, CROP), ('[[art]]\nfile = "lines.png"',
                                                other + '[[art]]\nfile = "lines.png"')))
    first, second = session.of(PHOTOS_PLACED)
    assert (first.artwork.width_px, second.artwork.width_px) == (1000, 620)
    assert first.artwork.whole == second.artwork.whole


def test_an_opacity_mask_is_that_of_the_whole_photo(small_job: Write) -> None:
    """Black right of the middle: of a crop to the left half all is there, of another nothing."""
    shares = []
    for side in ("right", "left"):
        path = small_job((PHOTO, f'{PHOTO}\nopacity = "mask.png"\ncrop = {{ {side} = "50 %" }}'))
        mask = np.full((360, 1240), 255, np.uint8)
        mask[:, 620:] = 0
        cv2.imwrite(str(path.parent / "mask.png"), mask)
        tones = Session(path, finest_ppi=72.0).of(PHOTO_TONES)
        assert tones.see_through is not None
        shares.append(float(tones.see_through[tones.inside].mean()))
    assert shares[0] < 0.01
    assert shares[1] > 0.99


@pytest.mark.parametrize("crop", [
    '"10 %"', "{}", '{ upper = "3 %" }', '{ top = "100 %" }', '{ top = "-3 %" }', "{ top = 12 }",
    '{ top = "1.5 px" }', '{ top = "3 mm" }'])
def test_what_is_no_crop_is_refused(small_job: Write, crop: str) -> None:
    with pytest.raises(InputProblem, match=r"art\[1\].crop: found .*such as \{ top = \"12 %\""):
        read_job(small_job((PHOTO, f"{PHOTO}\ncrop = {crop}")))


def test_line_work_is_not_cropped(small_job: Write) -> None:
    lines = 'file = "lines.png"'
    with pytest.raises(InputProblem, match="'crop' on a photo only would do"):
        read_job(small_job((lines, f'{lines}\ncrop = {{ top = "3 %" }}')))


def test_a_crop_that_leaves_nothing_names_its_key(small_job: Write) -> None:
    path = small_job((PHOTO, f'{PHOTO}\ncrop = {{ left = "60 %", right = "60 %" }}'))
    with pytest.raises(InputProblem, match=r"art\[1\].crop: found a crop that leaves 0 × 360"):
        Session(path).of(PHOTOS_PLACED)


def test_damage_in_what_is_cut_off_is_not_told(small_job: Write) -> None:
    """Grey rows at the foot of a JPEG stand for missing data; cut off they are no matter."""
    found = []
    for crop in ("", '\ncrop = { bottom = "30 %" }'):
        path = small_job((PHOTO, f'file = "photo.jpg"{crop}'))
        picture = small_photo()
        picture[272:] = 128
        cv2.imwrite(str(path.parent / "photo.jpg"), picture[:, :, ::-1],
                    [cv2.IMWRITE_JPEG_QUALITY, 95])
        found.append([one for one in Session(path, finest_ppi=72.0).of(FINDINGS)
                      if one.id == "picture-damage" and one.place is not None])
    assert [len(one) for one in found] == [1, 0]
