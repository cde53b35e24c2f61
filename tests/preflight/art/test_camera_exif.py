"""What a photograph says of its camera."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import tifffile
from PIL import Image

from preflight.art.camera_exif import CameraExif, camera_exif


def photo(path: Path, lens: dict[int, object], gps: dict[int, object]) -> Path:
    exif = Image.Exif()
    exif.get_ifd(0x8769).update(lens)
    exif.get_ifd(0x8825).update(gps)
    Image.new("RGB", (32, 16)).save(path, exif=exif)
    return path


def test_focal_length_and_place(tmp_path: Path) -> None:
    told = camera_exif(photo(tmp_path / "a.jpg", {0xA405: 28}, {
        1: "S", 2: (46.0, 30.0, 36.0), 3: "W", 4: (27.0, 15.0, 0.0), 5: b"\0", 6: 96.0}))
    assert told.focal_diagonals == pytest.approx(28 / 43.2666, rel=1e-4)
    assert told.place == pytest.approx((-46.51, -27.25, 96.0))


@pytest.mark.parametrize("gps", [{}, {2: (46.0, 30.0, 36.0)}, {2: (460.0, 0.0, 0.0),
                                                               4: (27.0, 0.0, 0.0)}])
def test_nothing_and_nonsense(tmp_path: Path, gps: dict[int, object]) -> None:
    assert camera_exif(photo(tmp_path / "a.jpg", {0xA405: 0}, gps)) == CameraExif()


def test_a_picture_without_exif(tmp_path: Path) -> None:
    Image.new("RGB", (16, 16)).save(tmp_path / "a.png")
    assert camera_exif(tmp_path / "a.png") == CameraExif()


def test_a_picture_of_floating_point_tells_nothing(tmp_path: Path) -> None:
    tifffile.imwrite(tmp_path / "a.tif", np.zeros((16, 16, 3), np.float32), photometric="rgb")
    assert camera_exif(tmp_path / "a.tif") == CameraExif()
