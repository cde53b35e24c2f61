"""A grey picture beside a photograph that says where the photograph is there."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np

from preflight.art.art_plane import ArtPlane, line_plane
from preflight.art.artwork import open_artwork
from preflight.art.placement import PlacedArt
from preflight.facts.submission import ArtOnBoard
from preflight.frames.raster_grid import RasterGrid
from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from separations.planes.laid_out_job import crop_of

#: Sides may differ by so much from the photograph's: rounding of a picture made smaller.
_PROPORTION_SLACK = 0.01


def with_opacity(seen: ArtPlane, art: ArtOnBoard, job: Job, grid: RasterGrid) -> ArtPlane:
    """A photograph on the board with its opacity mask, if the job names one.

    Parameters
    ----------
    seen : ArtPlane
        The photograph on the grid.
    art, job, grid : ArtOnBoard, Job, RasterGrid
        What it is, and where its pixels lie.

    Returns
    -------
    ArtPlane
        The same colours; where the mask is black, no cover; where it is white, all of it.

    Raises
    ------
    InputProblem
        When the mask cannot be read or has other proportions than the photograph.
    """
    name = art.table.opacity
    if name is None:
        return seen
    mask = open_artwork(job.beside(name), accept_damage=art.table.accept_damage,
                        crop=crop_of(art.table))
    absent = line_plane(mask, _over(art.placed, mask.width_px, mask.height_px,
                                    f"{job.beside(name)}"), grid)
    cover = cv2.multiply(seen.cover, cv2.bitwise_not(absent.window()), scale=1 / 255)
    return ArtPlane(rgb=seen.rgb, cover=np.asarray(cover, np.uint8))


def _over(placed: PlacedArt, width: int, height: int, where: str) -> PlacedArt:
    """Where a picture of so many pixels lies that covers the placed one."""
    wide, tall = placed.width_px / width, placed.height_px / height
    if abs(wide / tall - 1) > _PROPORTION_SLACK:
        raise InputProblem(
            where=where, found=f"{width} × {height} pixels beside a photo of "
                               f"{placed.width_px:.0f} × {placed.height_px:.0f}",
            would_do="an opacity mask of the photo's proportions")
    scale = (wide * tall) ** 0.5
    xu, xv, yu, yv = (value * scale for value in (placed.xu, placed.xv, placed.yu, placed.yv))
    centre_x, centre_y = placed.board_of(np.array([placed.width_px, placed.height_px]) / 2)
    return replace(placed, width_px=width, height_px=height, mm_per_px=placed.mm_per_px * scale,
                   xu=xu, xv=xv, yu=yu, yv=yv,
                   x0=float(centre_x) - xu * width / 2 - xv * height / 2,
                   y0=float(centre_y) - yu * width / 2 - yv * height / 2)
