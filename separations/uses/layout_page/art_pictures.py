"""Small pictures of the job's own art: what the browser moves while a hand moves."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.art.art_plane import photo_plane
from preflight.art.artwork import Artwork
from preflight.art.pdf_photo import drawn_at
from preflight.art.placement import PlacedArt
from preflight.frames.raster_grid import RasterGrid
from preflight.input_problem import InputProblem
from preflight.job_file.drawn_consistency import is_drawing
from separations.pipeline.kept_photos import KeptPhotos
from separations.pipeline.session import Session
from separations.pipeline.stages import LINE_FILES, PHOTO_FILES


def art_picture(session: Session, order: int, side_px: int) -> NDArray[np.uint8]:
    """A picture of one artwork, its longest side so many pixels or fewer, (rows, columns, 4).

    What is cropped of it is shown too: the page draws the crop itself.
    A photograph is told in sRGB numbers of its own pixels; line work as black with an alpha where
    it inks.

    Raises
    ------
    InputProblem
        When the art cannot be read or is drawn as outlines, which the page has.
    """
    table = session.job.art[order]
    if is_drawing(table):
        raise InputProblem(where=table.file or "a flat", found="art that is drawn as outlines",
                           would_do="a picture")
    stage = PHOTO_FILES if table.kind == "photo" else LINE_FILES
    artwork = dict(session.of(stage))[order].uncropped
    if artwork.page:  # a pixel to a point until it is drawn larger
        artwork = drawn_at(artwork, side_px / max(artwork.width_px, artwork.height_px))
    made: NDArray[np.uint8] = session.keep.made_of("small picture", (artwork, table.kind, side_px),
                                       lambda: _drawn(session, artwork, table.kind, side_px))
    return made


def _drawn(session: Session, artwork: Artwork, kind: str, side_px: int) -> NDArray[np.uint8]:
    share = min(1.0, side_px / max(artwork.width_px, artwork.height_px))
    columns = max(1, round(artwork.width_px * share))
    rows = max(1, round(artwork.height_px * share))
    placed, grid = _upright(artwork, columns, rows)
    plane = photo_plane(artwork, placed, grid, load=KeptPhotos(session.keep))
    deep = plane.rgb.dtype == np.uint16
    rgb = np.asarray(plane.rgb >> 8 if deep else plane.rgb, np.uint8)
    return _with_alpha(rgb, plane.cover, lines=kind == "line", by_alpha=artwork.has_alpha)


def _upright(artwork: Artwork, columns: int, rows: int) -> tuple[PlacedArt, RasterGrid]:
    """The art with its top to the nose, on a grid of its own: a pixel a millimetre."""
    scale = max(columns / artwork.width_px, rows / artwork.height_px)
    placed = PlacedArt(width_px=artwork.width_px, height_px=artwork.height_px, mm_per_px=scale,
                       turn_deg=0.0, flip="none", xu=0.0, xv=-scale, x0=rows / 2, yu=-scale,
                       yv=0.0, y0=columns / 2)
    return placed, RasterGrid(top_x_mm=rows / 2, left_y_mm=columns / 2, pixel_mm=1.0, rows=rows,
                              columns=columns)


def _with_alpha(rgb: NDArray[np.uint8], cover: NDArray[np.uint8], *, lines: bool,
                by_alpha: bool) -> NDArray[np.uint8]:
    if not lines:
        return np.dstack([rgb, cover])
    grey = cv2.cvtColor(np.ascontiguousarray(rgb), cv2.COLOR_RGB2GRAY)
    inked = cover if by_alpha and cover.min() < 255 else 255 - grey
    return np.dstack([np.zeros_like(rgb), np.asarray(inked, np.uint8)])
