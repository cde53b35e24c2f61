"""A job that crops its pictures prints what a job with pictures cropped beforehand prints."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.pipeline.calls import quick_session
from separations.pipeline.picture_stages import PROOF
from separations.pipeline.stages import PHOTOS_PLACED
from tests.small_art import write_small_job

PHOTO = 'file = "photo.png"'
CROP = 'crop_left = "10 %"\ncrop_right = "5 %"\ncrop_top = "20 %"\ncrop_bottom = "2.5 %"'


def cut(path: Path, left: float, right: float, top: float, bottom: float) -> None:
    with Image.open(path) as image:
        w, h = image.size
        image.crop((round(w * left), round(h * top), w - round(w * right),
                    h - round(h * bottom))).save(path)


def test_cropped_photo_and_line_work_print_as_if_cut_beforehand(tmp_path: Path) -> None:
    lines = 'file = "lines.png"'
    mine = write_small_job(tmp_path / "mine", (PHOTO, f"{PHOTO}\n{CROP}"),
                           (lines, f'{lines}\ncrop_right = "25 %"'))
    theirs = write_small_job(tmp_path / "theirs")
    cut(theirs.parent / "photo.png", 0.1, 0.05, 0.2, 0.025)
    cut(theirs.parent / "lines.png", 0, 0.25, 0, 0)
    seen = quick_session(mine, 60).of(PROOF)
    assert np.array_equal(seen, quick_session(theirs, 60).of(PROOF))
    assert not np.array_equal(seen, quick_session(
        write_small_job(tmp_path / "whole"), 60).of(PROOF))


def test_another_crop_is_seen_by_a_session_that_knows_the_former(tmp_path: Path) -> None:
    path = write_small_job(tmp_path / "job")
    session = quick_session(path, 40)
    whole = session.of(PROOF)
    path.write_text(path.read_text(encoding="utf-8").replace(PHOTO, f"{PHOTO}\n{CROP}", 1),
                    encoding="utf-8")
    changed = session.changed(read_job(path))
    assert not np.array_equal(changed.of(PROOF), whole)
    art = changed.of(PHOTOS_PLACED)[0]
    assert (art.artwork.width_px, art.placed.width_px) == (1054, 1054)
    assert np.array_equal(changed.of(PROOF), quick_session(path, 40).of(PROOF))


@pytest.mark.parametrize(("old", "new", "found"), [
    (PHOTO, f'{PHOTO}\ncrop_left = "60 %"\ncrop_right = "40 %"',
     "100 % of the width cut off with 'crop_right'"),
    (PHOTO, f'{PHOTO}\ncrop_left = "101 %"', "crop_left: found '101 %'"),
    ('[[art]]', '[[art]]\nkind = "flat"\nink = "Black"\ncrop_top = "1 %"\n[[art]]',
     "'crop_top' on another kind of art")])
def test_crops_that_cannot_be_are_refused(small_job: Callable[..., Path], old: str, new: str,
                                          found: str) -> None:
    with pytest.raises(InputProblem, match=found):
        read_job(small_job((old, new)))
