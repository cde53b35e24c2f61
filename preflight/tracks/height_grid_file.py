"""Grids of heights read from GeoTIFF and ESRI ASCII files."""

from __future__ import annotations

import logging
import warnings
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from preflight.files.regular_files import bytes_of
from preflight.input_problem import InputProblem
from preflight.tracks.height_grid import HeightGrid
from preflight.tracks.local_frame import projections

_MOST_BYTES, _MOST_CELLS = 200_000_000, 50_000_000
_WOULD_DO = "a grid of heights as GeoTIFF or ESRI ASCII, at most 200 MB,"
_TIFF = (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")
#: Heights beyond these (m) stand for none. Own rule, no source.
_LOWEST_M, _HIGHEST_M = -12_000.0, 10_000.0


def read_height_grid(path: Path, crs: str | None, *, where: str) -> HeightGrid:
    """Read a grid of heights.

    Parameters
    ----------
    path : Path
        The file, known by its content.
    crs : str or None
        What its coordinates are, such as ``EPSG:32632``, where the file does not say.
    where : str
        What an `InputProblem` names besides the file.

    Raises
    ------
    InputProblem
        When the extra that reads grids is not installed, or the file cannot be read, is too large,
        lies askew, has no coordinate system, or one that PROJ does not know.
    """
    rasterio = _reader(where)
    raw = bytes_of(path, _MOST_BYTES, would_do=_WOULD_DO)
    driver = "GTiff" if raw[:4] in _TIFF else "AAIGrid" if raw[:200].lstrip()[:5].lower() == \
        b"ncols" else None
    if driver is None:
        raise InputProblem(where=str(path), found="something other than a grid of heights",
                           would_do=_WOULD_DO)
    try:
        # Only the bytes that were read, and only the reader of their own format.
        with warnings.catch_warnings(), rasterio.Env(
                GDAL_DISABLE_READDIR_ON_OPEN="EMPTY_DIR", GDAL_PAM_ENABLED="NO"), \
                rasterio.MemoryFile(raw) as memory:
            warnings.simplefilter("ignore")  # remarks on odd files; what matters is looked at here
            with memory.open(driver=driver) as opened:
                _check_shape(opened, path)
                heights = opened.read(1, masked=True).astype(np.float32).filled(np.nan)
                turn, own = opened.transform, opened.crs
    except (rasterio.errors.RasterioError, ValueError, OSError, MemoryError):
        raise InputProblem(where=str(path), found="a grid that cannot be read",
                           would_do=_WOULD_DO) from None
    heights[(heights < _LOWEST_M) | (heights > _HIGHEST_M)] = np.nan
    to_grid = _way_to(own.to_wkt() if own else crs, path, where)
    first_x, first_y = turn.c + turn.a / 2, turn.f + turn.e / 2
    return HeightGrid(
        heights_m=heights, first_x=first_x, first_y=first_y, step_x=turn.a, step_y=turn.e,
        cell_m=_cell_m(to_grid, first_x, first_y, turn, heights.shape, path), to_grid=to_grid)


@cache
def _loaded() -> Any:
    import rasterio
    import rasterio.errors

    logging.getLogger("rasterio").addHandler(logging.NullHandler())  # no lines before a sentence
    return rasterio


def _reader(where: str) -> Any:
    """The library that reads grids: an extra, which most jobs do without."""
    try:
        return _loaded()
    except ImportError:
        raise InputProblem(where=f"{where}.grid", found="a grid of heights, which this "
                           "installation cannot read",
                           would_do="pip install 'topsheet[terrain]', or no 'grid',") from None


def _check_shape(opened: Any, path: Path) -> None:
    turn = opened.transform
    if opened.width * opened.height > _MOST_CELLS or min(opened.width, opened.height) < 2:
        raise InputProblem(where=str(path), found=f"{opened.width} × {opened.height} cells",
                           would_do=f"2 cells a side or more, up to {_MOST_CELLS // 10**6} million")
    if turn.b or turn.d or not (turn.a > 0 > turn.e) or opened.count != 1:
        found = f"{opened.count} bands" if opened.count != 1 else "a grid that lies askew"
        raise InputProblem(where=str(path), found=found,
                           would_do="one band of heights with its first row in the north")


def _way_to(crs: str | None, path: Path, where: str) -> Any:
    if not crs:
        raise InputProblem(where=str(path), found="a grid that does not say what its coordinates "
                           "are", would_do="'grid_crs' in [ground], such as \"EPSG:32632\",")
    proj = projections()
    try:
        return proj.Transformer.from_crs("EPSG:4326", proj.CRS.from_user_input(crs).to_2d(),
                                         always_xy=True)
    except proj.exceptions.ProjError:
        raise InputProblem(where=f"{where}.grid_crs", found=f"coordinates '{crs[:40]}' that are "
                           "not known", would_do="a code such as \"EPSG:32632\"") from None


def _cell_m(to_grid: Any, x: float, y: float, turn: Any, shape: tuple[int, ...],
            path: Path) -> float:
    """The smaller side of a cell in the middle of the grid (metres)."""
    at_x = x + turn.a * np.array([shape[1] // 2, shape[1] // 2 + 1, shape[1] // 2])
    at_y = y + turn.e * np.array([shape[0] // 2, shape[0] // 2, shape[0] // 2 + 1])
    lon, lat = (np.asarray(one) for one in to_grid.transform(at_x, at_y, direction="INVERSE"))
    if not (np.isfinite(lon).all() and np.isfinite(lat).all()):
        raise InputProblem(where=str(path), found="coordinates that lie nowhere on earth",
                           would_do="another 'grid_crs'")
    _, _, far = projections().Geod(ellps="WGS84").inv(
        lon[[0, 0]], lat[[0, 0]], lon[1:], lat[1:])
    return float(np.min(far))
