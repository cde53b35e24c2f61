"""All inks' tones on one coarse grid, line work included: what a proof is drawn from."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.board.area_mask import coverage_mask, part_of, rows_and_columns
from preflight.frames.raster_grid import RasterGrid
from preflight.frames.tiled_plane import TiledPlane
from separations.planes.art_separation import ArtSeparation
from separations.planes.laid_out_job import LaidOutJob
from separations.planes.overlays import Overlay, VectorWork, areas_on_film

_FULL = 65_535


def tones_with_lines(
    separation: ArtSeparation, overlays: tuple[Overlay, ...], laid: LaidOutJob, grid: RasterGrid
) -> NDArray[np.uint16]:
    """All inks' tones on a coarser grid, line work included, zero outside the printed area.

    Returns
    -------
    ndarray of uint16, shape (inks of the job, rows, columns)
        In print order; for the proof and for figures, not for films.
    """
    job, size = laid.job, (grid.columns, grid.rows)
    planes = np.zeros((len(job.ink), grid.rows, grid.columns), np.uint16)
    for number, ink in enumerate(job.ink):
        tones = separation.tones_of(ink, job)
        if tones is not None:
            planes[number] = cv2.resize(tones, size, interpolation=cv2.INTER_AREA)
    for overlay in overlays:
        if isinstance(overlay, VectorWork):
            _draw(overlay, laid, planes, grid)
            continue
        knocked_out = [number for number, ink in enumerate(job.ink)
                       if ink.name != overlay.table.ink and overlay.table.beneath == "knock out"
                       and ink.prints != "underbase"]
        for number, ink in enumerate(job.ink):
            if ink.name == overlay.table.ink:
                cover = _shares(overlay.cover, grid)
                np.maximum(planes[number], _whole_levels(cover), out=planes[number])
        if knocked_out:
            left = _shares(overlay.trapped, grid)
            np.subtract(1, left, out=left)
            levels = _whole_levels(left)
            for number in knocked_out:
                _weigh(planes[number], levels)
    inside = coverage_mask(laid.area.printed, grid)
    for plane in planes:
        _weigh(plane, inside)
    return planes


def _shares(plane: TiledPlane, grid: RasterGrid) -> NDArray[np.float32]:
    """How much of each pixel a plane covers, 0 to 1."""
    share = plane.averaged(grid.rows, grid.columns)
    share /= np.float32(255)
    return share


def _whole_levels(share: NDArray[np.float32]) -> NDArray[np.uint16]:
    """Shares, 0 to 1, as tones; what held the shares is used up."""
    share *= np.float32(_FULL)
    return np.rint(share, out=share).astype(np.uint16)


def _weigh(plane: NDArray[np.uint16], share: NDArray[np.uint16]) -> None:
    """Multiply tones by shares (65535 = 1), in place."""
    cv2.multiply(plane, share, dst=plane, scale=1 / _FULL)


def _draw(work: VectorWork, laid: LaidOutJob, planes: NDArray[np.uint16],
          grid: RasterGrid) -> None:
    """What a drawing does to all inks, on the few pixels round it."""
    rows, columns = rows_and_columns(work.printed.union(work.visible), grid)
    window = part_of(grid, rows, columns)
    if window is None:
        return
    for ink, plane in zip(laid.job.ink, planes[:, rows, columns], strict=True):
        for area in areas_on_film(ink, work):
            share = coverage_mask(area.area, window).astype(np.float32) / _FULL
            plane[:] = np.rint(plane * (1 - share) if area.action == "knock out"
                               else np.maximum(plane, share * area.tone * _FULL))
