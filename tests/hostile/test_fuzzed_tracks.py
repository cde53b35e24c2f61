"""Readers of recorded tracks and of heights meet what they never expected.

As `tests/hostile/test_fuzzed_readers.py`; ``TOPSHEET_FUZZ=50`` tries fifty times as many files.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import rasterio
from affine import Affine
from hypothesis import given

from preflight.tracks.gpx_file import read_gpx
from preflight.tracks.height_grid_file import read_height_grid
from tests.hostile.test_fuzzed_readers import (
    reads_or_refuses,
    spoilt_bytes,
    spoilt_text,
    steady,
)
from tests.track_art import gpx_of, walk

ASCII = ("ncols 4\nnrows 3\nxllcorner 500000\nyllcorner 5150000\ncellsize 25\n"
         "NODATA_value -9999\n1 2 3 4\n5 6.5 -9999 8\n9 10 11 12\n")


def test_tracks(tmp_path: Path) -> None:
    path = tmp_path / "walk.gpx"

    @steady(80)
    @given(spoilt_text(gpx_of(walk(count=5), walk(count=3))))
    def attempt(raw: bytes) -> None:
        path.write_bytes(raw)
        reads_or_refuses("gpx", lambda: read_gpx(path))

    attempt()


def test_heights_as_text(tmp_path: Path) -> None:
    path = tmp_path / "ground.asc"

    @steady(80)
    @given(spoilt_text(ASCII))
    def attempt(raw: bytes) -> None:
        path.write_bytes(raw)
        reads_or_refuses("asc", lambda: read_height_grid(path, "EPSG:32626", where="job"))

    attempt()


def test_heights_as_tiff(tmp_path: Path) -> None:
    whole, path = tmp_path / "whole.tif", tmp_path / "ground.tif"
    with rasterio.open(whole, "w", driver="GTiff", width=24, height=20, count=1, crs="EPSG:32626",
                       dtype="float32", transform=Affine(25, 0, 5e5, 0, -25, 5.15e6),
                       compress="deflate") as out:
        out.write(np.arange(480, dtype=np.float32).reshape(20, 24), 1)

    @steady(80)
    @given(spoilt_bytes(whole.read_bytes()))
    def attempt(raw: bytes) -> None:
        path.write_bytes(raw)
        reads_or_refuses("tif", lambda: read_height_grid(path, "EPSG:32626", where="job"))

    attempt()
