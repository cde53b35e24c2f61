"""The demo of recorded tracks: its files are the code's, and its lines lie on its paths."""

from __future__ import annotations

import sys
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from shapely import line_interpolate_point

sys.path.append(str(Path(__file__).resolve().parents[2]))  # demo_art is not installed

from demo_art.painting.headland import Headland
from demo_art.painting.paint_headland import (
    FOLDER,
    SEED,
    gpx_text,
    grid_text,
    landmarks_text,
    paint,
)
from preflight.tracks.gpx_file import read_gpx
from separations.pipeline.session import Session
from separations.pipeline.stages import PHOTOS_PLACED, TRACKS

JOB = FOLDER / "headland_walks.toml"
PATH_RGB, NEAR = np.array((224, 204, 163)), 30


def test_its_files_are_what_the_code_writes() -> None:
    land = Headland(SEED)
    assert (FOLDER / "headland_walks.gpx").read_text(encoding="utf-8") == gpx_text(land)
    assert (FOLDER / "headland_heights.asc").read_text(encoding="utf-8") == grid_text(land)
    assert landmarks_text(land) in JOB.read_text(encoding="utf-8")
    assert len(read_gpx(FOLDER / "headland_walks.gpx", 2)) == 446


@pytest.mark.long
def test_the_photo_is_what_the_code_paints(photo: NDArray[np.float32]) -> None:
    painted = cv2.resize(paint(scale=0.1), (300, 66), interpolation=cv2.INTER_AREA).astype(float)
    kept = cv2.resize(photo, (300, 66), interpolation=cv2.INTER_AREA).astype(float)
    assert np.corrcoef(painted.ravel(), kept.ravel())[0, 1] > 0.97


@pytest.fixture(scope="module")
def thin(tmp_path_factory: pytest.TempPathFactory) -> Session:
    """The demo with thin lines that are left out where the land hides them."""
    folder = tmp_path_factory.mktemp("headland")
    for name in ("headland.jpg", "headland_walks.gpx", "headland_heights.asc"):
        (folder / name).write_bytes((FOLDER / name).read_bytes())
    text = JOB.read_text(encoding="utf-8")
    for old, new in (('width = "0.7 mm"', 'width = "0.2 mm"\nhidden = "left out"'),
                     ('casing = "0.4 mm"\n', ""), ('hidden = "dashed"\n', ""),
                     ('on = "both"\narrow = "4 mm"\n', ""),
                     ('name = "Ridge walk, 3.3 km"\n', "")):
        assert old in text, old
        text = text.replace(old, new)
    text = text[:text.index("[plan]")] + text[text.index("[separation]"):]
    (folder / JOB.name).write_text(text, encoding="utf-8")
    return Session(folder / JOB.name, finest_ppi=72.0)


@pytest.fixture(scope="module")
def photo() -> NDArray[np.float32]:
    return np.asarray(Image.open(FOLDER / "headland.jpg"), np.float32)


def on_path(session: Session, photo: NDArray[np.float32], track: int,
            shift_px: float = 0.0) -> float:
    """Share of a drawn line's edge that lies on pixels in the painted path's colour."""
    art, = session.of(PHOTOS_PLACED)
    parts = getattr(session.of(TRACKS).drawn[track].area, "geoms", None) or [
        session.of(TRACKS).drawn[track].area]
    edge = np.array([(p.x, p.y) for part in parts for p in line_interpolate_point(
        part.exterior, np.arange(0, part.exterior.length, 3.0))])
    matrix = art.placed.to_art
    pixels = edge @ matrix[:2, :2].T + matrix[:2, 2] + np.array([0.0, shift_px])
    column, row = (np.ascontiguousarray(pixels[None, :, n] - 0.5, np.float32) for n in (0, 1))
    seen = cv2.remap(photo, column, row, cv2.INTER_LINEAR)[0]
    return float((np.abs(seen - PATH_RGB).max(axis=1) < NEAR).mean())


def test_the_lines_lie_on_the_painted_paths(thin: Session, photo: NDArray[np.float32]) -> None:
    assert on_path(thin, photo, 1) > 0.9  # along the shore, some 5 pixels wide; seen almost whole
    for shift_px in (-6.0, 6.0):
        assert on_path(thin, photo, 1, shift_px) < 0.25
    # Along the ridge it is 2 pixels wide, and often on the skyline.
    assert on_path(thin, photo, 0) > 0.6
    assert on_path(thin, photo, 0, 6.0) < 0.1


def test_landmarks_agree_and_a_part_is_hidden(thin: Session) -> None:
    work = thin.of(TRACKS)
    assert work.cameras[0].wrong == 0
    assert work.cameras[0].noise_px < 0.6  # marked to whole pixels: 0.29
    ridge, shore = work.tracks
    assert ridge.hidden_mm > 200
    assert 50 < shore.hidden_mm < 200
    assert max(ridge.likely_mm, shore.likely_mm) < 0.3
