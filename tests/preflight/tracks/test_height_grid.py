"""Grids of heights, and what they hide, against a march along each ray, place by place."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import rasterio
from affine import Affine

from preflight.input_problem import InputProblem
from preflight.tracks import height_grid_file
from preflight.tracks.height_grid import WALKER_M, HeightGrid, is_hidden
from preflight.tracks.height_grid_file import read_height_grid
from preflight.tracks.local_frame import LocalFrame, projections

EPSG = "EPSG:32626"
EAST, NORTH, CELL = 500_000.0, 5_150_000.0, 25.0


def hills(rows: int = 160, columns: int = 200) -> np.ndarray:
    y, x = np.mgrid[0:rows, 0:columns] * CELL
    return np.asarray(40 + 60 * np.sin(x / 310) * np.cos(y / 270) + 25 * np.sin((x + y) / 130),
                      np.float32)


def ascii_grid(path: Path, heights: np.ndarray) -> Path:
    rows, columns = heights.shape
    path.write_text(
        f"ncols {columns}\nnrows {rows}\nxllcorner {EAST}\nyllcorner {NORTH - rows * CELL}\n"
        f"cellsize {CELL}\nNODATA_value -9999\n"
        + "\n".join(" ".join(f"{h:.3f}" for h in row) for row in heights) + "\n", encoding="ascii")
    return path


def read(path: Path, crs: str | None = EPSG) -> HeightGrid:
    return read_height_grid(path, crs, where="job.toml: ground")


def test_ascii_and_geotiff_hold_the_same(tmp_path: Path) -> None:
    heights = hills()
    tiff = tmp_path / "ground.tif"
    with rasterio.open(tiff, "w", driver="GTiff", width=200, height=160, count=1, crs=EPSG,
                       dtype="float32", transform=Affine(CELL, 0, EAST, 0, -CELL, NORTH),
                       compress="lzw", predictor=3, tiled=True) as out:
        out.write(heights, 1)
    one, other = read(ascii_grid(tmp_path / "ground.asc", heights)), read(tiff, None)
    assert one.cell_m == pytest.approx(CELL, rel=0.002)
    lat, lon = np.array([46.48, 46.49]), np.array([-26.98, -26.97])
    assert one.heights_at(lat, lon) == pytest.approx(other.heights_at(lat, lon), abs=0.01)
    to_utm = projections().Transformer.from_crs("EPSG:4326", EPSG, always_xy=True)
    x, y = to_utm.transform(lon, lat)
    column, row = (x - EAST) / CELL - 0.5, (NORTH - y) / CELL - 0.5
    for place in range(2):
        c, r = int(column[place]), int(row[place])
        a, b = column[place] - c, row[place] - r
        told = ((heights[r, c] * (1 - a) + heights[r, c + 1] * a) * (1 - b)
                + (heights[r + 1, c] * (1 - a) + heights[r + 1, c + 1] * a) * b)
        assert other.heights_at(lat, lon)[place] == pytest.approx(told, abs=0.01)
    assert np.isnan(one.heights_at(np.array([47.5]), np.array([-26.9]))).all()


@pytest.mark.parametrize(("text", "crs", "found"), [
    ("heights: 1 2 3", EPSG, "something other than a grid of heights"),
    ("ncols 2\nnrows two\n", EPSG, "a grid that cannot be read"),
    ("ncols 90000\nnrows 90000\nxllcorner 0\nyllcorner 0\ncellsize 1\n1 2\n", EPSG,
     "90000 × 90000 cells"),
    ("ncols 2\nnrows 2\nxllcorner 0\nyllcorner 0\ncellsize 1\n1 2\n3 4\n", None,
     "does not say what its coordinates are"),
    ("ncols 2\nnrows 2\nxllcorner 0\nyllcorner 0\ncellsize 1\n1 2\n3 4\n", "EPSG:0",
     "coordinates 'EPSG:0' that are not known"),
    ("II*\0" + "x" * 40, EPSG, "a grid that cannot be read"),
])
def test_grids_that_are_refused(tmp_path: Path, text: str, crs: str | None, found: str) -> None:
    path = tmp_path / "ground.asc"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputProblem) as fault:
        read(path, crs)
    assert found in fault.value.sentence


def test_hidden_places_are_those_of_a_march_along_each_ray(tmp_path: Path) -> None:
    """The march takes a step each 6 m, one after another, the earth a sphere beneath it.

    Places that the ground clears or hides by less than half a metre are left out.
    """
    grid = read(ascii_grid(tmp_path / "ground.asc", hills()))
    to_utm = projections().Transformer.from_crs("EPSG:4326", EPSG, always_xy=True)
    rng = np.random.default_rng(3)
    x = EAST + rng.uniform(600, 4300, 120)
    y = NORTH - rng.uniform(500, 3500, 120)
    lon, lat = to_utm.transform(x, y, direction="INVERSE")
    eye_lon, eye_lat = to_utm.transform(EAST + 300, NORTH - 400, direction="INVERSE")
    eye_h = float(grid.heights_at(np.array([eye_lat]), np.array([eye_lon]))[0]) + 110
    frame = LocalFrame(46.48, -26.98, 0.0)
    ground = grid.heights_at(lat, lon)
    local = frame.local_of(lat, lon, ground)
    eye = frame.local_of(*(np.array([v]) for v in (eye_lat, eye_lon, eye_h)))[0]
    told = is_hidden(grid, frame, eye, local)
    compared = 0
    for place in range(120):
        by = _highest_over(grid, (eye_lat, eye_lon, eye_h),
                           (lat[place], lon[place], ground[place] + WALKER_M))
        if abs(by) > 0.5:
            compared += 1
            assert told[place] == (by > 0), place
    assert compared > 100
    assert 20 < np.count_nonzero(told) < 100


def _highest_over(grid: HeightGrid, eye: tuple[float, float, float],
                  place: tuple[float, float, float]) -> float:
    """How far the ground rises over the line of sight, at most (m)."""
    geod = projections().Geod(ellps="WGS84")
    way, _, far = geod.inv(eye[1], eye[0], place[1], place[0])
    worst = -math.inf
    steps = np.arange(1.5 * grid.cell_m, far - 1.5 * grid.cell_m, 6.0)
    lon, lat, _ = geod.fwd(np.full_like(steps, eye[1]), np.full_like(steps, eye[0]),
                           np.full_like(steps, way), steps)
    for at, ground in zip(steps, grid.heights_at(lat, lon), strict=True):
        line = eye[2] + (place[2] - eye[2]) * at / far
        line -= (1 - 0.13) * at * (far - at) / (2 * 6_371_000)
        worst = max(worst, float(ground) - line)
    return worst


def test_without_the_extra_it_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import sys

    height_grid_file._loaded.cache_clear()
    monkeypatch.setitem(sys.modules, "rasterio", None)
    with pytest.raises(InputProblem, match=r"pip install 'topsheet\[terrain\]'"):
        read(ascii_grid(tmp_path / "ground.asc", hills()))
