"""The photographs as a ground for what is drawn on them: where they lie and how light they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely import Polygon, get_coordinates, segmentize, union_all
from skimage.measure import find_contours

from preflight.board.area_mask import Area
from preflight.facts.submission import ArtOnBoard
from preflight.frames.raster_grid import RasterGrid
from preflight.vector_art.ring_area import as_area, ring_area
from separations.colour.print_model import PrintModel
from separations.planes.art_separation import ArtSeparation, CoarseTones
from separations.planes.laid_out_job import LaidOutJob

_FULL = 65_535
#: Transparent parts are traced on pixels of this side (mm).
_TRACED_MM = 0.2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PhotoGround:
    """The photographs as printed.

    Attributes
    ----------
    area : Polygon or MultiPolygon
        Where any of them is opaque (board mm).
    tones : NDArray of uint16, shape (k, rows, columns)
        Their inks' film tones, on ``grid``.
    model : PrintModel
        Those inks on what lies beneath.
    grid : RasterGrid
        A coarse grid over the printed area.
    """

    area: Area
    tones: NDArray[np.uint16]
    model: PrintModel
    grid: RasterGrid

    def lightness_round(self, part: Polygon) -> float | None:
        """Mean L* of the photographs along an area's outline; None where there are none."""
        if not part.intersects(self.area):
            return None
        outline = part.exterior.intersection(self.area)
        points = get_coordinates(segmentize(outline if not outline.is_empty else part.exterior,
                                            self.grid.pixel_mm))
        rows = np.floor((self.grid.top_x_mm - points[:, 0]) / self.grid.pixel_mm).astype(int)
        columns = np.floor((self.grid.left_y_mm - points[:, 1]) / self.grid.pixel_mm).astype(int)
        there = self.tones[:, np.clip(rows, 0, self.grid.rows - 1),
                           np.clip(columns, 0, self.grid.columns - 1)]
        return float(np.mean(self.model.predict_lab(there.T / _FULL)[:, 0]))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeeThrough:
    """Where photographs lie but are nowhere opaque.

    Attributes
    ----------
    there : NDArray of bool, shape (rows, columns)
        True where nothing of them shows, on ``grid``.
    grid : RasterGrid
        Where the pixels lie.
    """

    there: NDArray[np.bool_]
    grid: RasterGrid


def photo_ground(laid: LaidOutJob, separation: ArtSeparation,
                 coarse: CoarseTones) -> PhotoGround | None:
    """The job's photographs as a ground; None without any."""
    if not separation.lattices:
        return None
    tones = np.stack([plane for ink, plane in zip(laid.job.ink, coarse.planes, strict=True)
                      if plane is not None and ink.prints == "photo"])
    return PhotoGround(area=opaque_area(laid.art, see_through_of(separation)),
                       tones=tones, model=separation.model, grid=coarse.grid)


def see_through_of(separation: ArtSeparation) -> SeeThrough | None:
    """Where a separation's photographs are transparent; None where they are opaque."""
    if separation.see_through is None:
        return None
    return SeeThrough(there=separation.see_through, grid=separation.grid)


def opaque_area(art: Sequence[ArtOnBoard], see_through: SeeThrough | None) -> Area:
    """Where photographs lie and some photograph is opaque (board mm)."""
    photos = [one.placed.polygon for one in art if one.table.kind == "photo"]
    whole = as_area(union_all(photos)) if photos else Polygon()
    if see_through is None or not see_through.there.any():
        return whole
    return as_area(whole.difference(_traced(see_through.there, see_through.grid)))


def _traced(there: NDArray[np.bool_], grid: RasterGrid) -> Area:
    """The outline of pixels, through the middles between those in and those out."""
    step = max(1, round(_TRACED_MM / grid.pixel_mm))
    rows, columns = (-(-side // step) for side in there.shape)
    share = cv2.resize(there.astype(np.uint8) * 255, (columns, rows),
                       interpolation=cv2.INTER_AREA)
    tall, wide = grid.pixel_mm * grid.rows / rows, grid.pixel_mm * grid.columns / columns
    rings = [np.column_stack([grid.top_x_mm - (line[:, 0] - 0.5) * tall,
                              grid.left_y_mm - (line[:, 1] - 0.5) * wide])
             for line in find_contours(np.pad(share, 1), 127.5)]
    return ring_area(rings, "evenodd")
