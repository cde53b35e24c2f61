"""All inks' tones on one coarse grid, line work included: what a proof is drawn from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely import box

from preflight.board.area_mask import Area, coverage_mask, part_of, rows_and_columns
from preflight.frames.raster_grid import RasterGrid
from preflight.frames.tiled_plane import TiledPlane
from preflight.job_file.job import Job
from separations.planes.art_separation import ArtSeparation
from separations.planes.line_work import LineWork
from separations.planes.overlays import Overlay, VectorWork, areas_on_film

_FULL = 65_535


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LinesOnGrid:
    """One picture of lines on a coarse grid.

    Attributes
    ----------
    inked, left : ndarray of uint16, shape (rows, columns)
        What its ink prints, and what it leaves of the other inks; 65535 for all.
    white : ndarray of uint16, shape (rows, columns), or None
        What the underbase prints beneath it.
    """

    inked: NDArray[np.uint16]
    left: NDArray[np.uint16]
    white: NDArray[np.uint16] | None


def photo_on_grid(job: Job, separation: ArtSeparation, grid: RasterGrid) -> NDArray[np.uint16]:
    """All inks' tones of the photographs on a coarser grid.

    Returns
    -------
    ndarray of uint16, shape (inks of the job, rows, columns)
        In print order; zero for inks of line work only.
    """
    planes = np.zeros((len(job.ink), grid.rows, grid.columns), np.uint16)
    for number, ink in enumerate(job.ink):
        tones = separation.tones_of(ink, job)
        if tones is not None:
            planes[number] = cv2.resize(tones, (grid.columns, grid.rows),
                                        interpolation=cv2.INTER_AREA)
    return planes


def lines_on_grid(pictures: Sequence[LineWork], grid: RasterGrid) -> tuple[LinesOnGrid, ...]:
    """Pictures of lines on a coarser grid."""
    found = []
    for picture in pictures:
        left = _shares(picture.trapped, grid)
        np.subtract(1, left, out=left)
        found.append(LinesOnGrid(
            inked=_whole_levels(_shares(picture.cover, grid)), left=_whole_levels(left),
            white=None if picture.white is None else _whole_levels(_shares(picture.white, grid))))
    return tuple(found)


def tones_with_lines(
    job: Job, planes: NDArray[np.uint16], lines: Sequence[LinesOnGrid],
    overlays: Sequence[Overlay], printed: Area, grid: RasterGrid,
) -> NDArray[np.uint16]:
    """All inks' tones on a coarse grid, line work included, zero outside the printed area.

    Parameters
    ----------
    job : Job
        Its inks.
    planes : ndarray of uint16, shape (inks of the job, rows, columns)
        From `photo_on_grid`; receives the result.
    lines : sequence of LinesOnGrid
        From `lines_on_grid`.
    overlays : sequence of Overlay
        All that lies on the photographs, in its order.
    printed : Polygon or MultiPolygon
        The printed area.
    grid : RasterGrid
        Where the pixels lie.

    Returns
    -------
    ndarray of uint16, shape (inks of the job, rows, columns)
        The same planes, in print order; for the proof and for figures, not for films.
    """
    pictures = iter(lines)
    for overlay in overlays:
        if isinstance(overlay, VectorWork):
            _draw(overlay, job, planes, grid)
            continue
        picture = next(pictures)
        for ink, plane in zip(job.ink, planes, strict=True):
            if ink.name == overlay.table.ink:
                np.maximum(plane, picture.inked, out=plane)
            elif ink.prints == "highlight white":
                _weigh(plane, _FULL - picture.inked)
            elif ink.prints == "underbase" and picture.white is not None:
                np.maximum(plane, picture.white, out=plane)
            elif overlay.table.beneath == "knock out" and ink.prints != "underbase":
                _weigh(plane, picture.left)
    inside = coverage_mask(printed, grid)
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


def _draw(work: VectorWork, job: Job, planes: NDArray[np.uint16],
          grid: RasterGrid) -> None:
    """What a drawing does to all inks, on the few pixels round it."""
    reach = [area.bounds for area in (work.printed, work.visible) if not area.is_empty]
    if not reach:
        return
    low, high = np.min(reach, axis=0)[:2], np.max(reach, axis=0)[2:]
    rows, columns = rows_and_columns(box(*low, *high), grid)
    window = part_of(grid, rows, columns)
    if window is None:
        return
    for ink, plane in zip(job.ink, planes[:, rows, columns], strict=True):
        for area in areas_on_film(ink, work):
            share = coverage_mask(area.area, window).astype(np.float32) / _FULL
            plane[:] = np.rint(plane * (1 - share) if area.action == "knock out"
                               else np.maximum(plane, share * area.tone * _FULL))
