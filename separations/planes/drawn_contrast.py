"""How far drawings and notes stand out, in lightness, from what is printed around them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from shapely import get_parts, line_interpolate_point

from preflight.board.points_within import points_within
from preflight.facts.submission import place_of
from preflight.findings import Place
from preflight.frames.raster_grid import RasterGrid
from preflight.job_file.job import Job
from separations.colour.print_model import PrintModel
from separations.planes.art_separation import CoarseTones
from separations.planes.line_work import LineWork
from separations.planes.overlays import Overlay, VectorWork
from separations.planes.traps import spread

FloatArray = NDArray[np.float64]

#: The ground is looked at so far beside a drawing's outline (mm).
_BESIDE_MM = 0.3
#: A drawing is judged by the worst tenth of its outline: a word that lacks a letter is a slip.
#: Own rule, no source.
WORST_SHARE = 0.1
_STEP_MM = 0.5
#: Line work in a picture is looked at so far apart (mm).
_PICKED_MM = 0.17
#: Places are told in squares of this side (mm).
_SQUARE_MM = 50.0
_MOST_POINTS = 20_000
_FULL = 65_535
_HALF = 127


@dataclass(frozen=True, slots=True, kw_only=True)
class Contrast:
    """One drawing against its ground.

    Attributes
    ----------
    difference : float
        Least difference of L* that all but a tenth of the outline keeps; of line work in a
        picture, of its area.
    ink_lightness, ground_lightness : float
        CIELAB L* of the drawing and of the ground along that worst tenth (means).
    place : Place
        Where most of that tenth lies.
    """

    difference: float
    ink_lightness: float
    ground_lightness: float
    place: Place


class _Printed(NamedTuple):
    """How an overlay prints: its tint is 0 to 1."""

    ink: str | None
    tint: float
    knocks_out: bool
    on_white: bool


class PrintedGround:
    """What is printed round a drawing: photographs, and all else that is drawn."""

    def __init__(self, job: Job, model: PrintModel, photo: CoarseTones,
                 overlays: Sequence[Overlay]) -> None:
        self._names = [ink.name for ink in job.ink]
        self._keeps = np.array([ink.prints == "underbase" for ink in job.ink])
        self._above = np.array([ink.prints == "highlight white" for ink in job.ink])
        self._model, self._photo, self._overlays = model, photo, overlays

    def contrast_of(self, overlay: Overlay, points: FloatArray) -> Contrast | None:
        """How far a drawing stands out at points of it; None where none of it prints.

        ``points`` are those of `points_on` or `points_beside`.
        """
        how = _how_printed(overlay)
        if not len(points) or how.ink is None:
            return None
        ground = self._tones_at(points, overlay)
        inked = self._with_ink(ground, how)
        ground_l = self._model.predict_lab(ground)[:, 0]
        ink_l = self._model.predict_lab(inked)[:, 0]
        differs = np.abs(ink_l - ground_l)
        worst = np.argsort(differs, kind="stable")[:max(1, round(WORST_SHARE * len(points)))]
        return Contrast(difference=float(differs[worst[-1]]),
                        ink_lightness=float(ink_l[worst].mean()),
                        ground_lightness=float(ground_l[worst].mean()),
                        place=_densest(points[worst]))

    def _tones_at(self, points: FloatArray, own: Overlay) -> FloatArray:
        """Film tones of all inks, shape (N, inks), at points of the board, one drawing left out."""
        rows, columns = _pixels(points, self._photo.grid)
        tones = np.zeros((len(points), len(self._names)))
        for number, plane in enumerate(self._photo.planes):
            if plane is not None:
                tones[:, number] = plane[rows, columns] / _FULL
        for overlay in self._overlays:
            if isinstance(overlay, VectorWork) and not overlay.drawn.casing.is_empty:
                there = points_within(overlay.drawn.casing, points[:, 0], points[:, 1])
                tones[there] = np.where(self._keeps, tones[there], 0.0)
            if overlay is own:
                continue
            how = _how_printed(overlay)
            if isinstance(overlay, LineWork):
                there = overlay.cover.at(*_pixels(points, overlay.grid)) > _HALF
            else:
                there = points_within(overlay.visible, points[:, 0], points[:, 1])
            if how.ink is not None and there.any():
                tones[there] = self._with_ink(tones[there], how)
        return tones

    def _with_ink(self, tones: FloatArray, how: _Printed) -> FloatArray:
        laid = np.where(self._keeps, tones, 0.0) if how.knocks_out else tones.copy()
        laid[:, self._above] = 0.0
        if how.on_white:
            laid[:, self._keeps] = 1.0
        own = self._names.index(how.ink or "")
        laid[:, own] = np.maximum(laid[:, own], how.tint)
        return laid


def _densest(points: FloatArray) -> Place:
    """Bounds of the points, shape (N, 2), in the square of the board that holds most of them."""
    _, square, counts = np.unique(np.floor(points / _SQUARE_MM), axis=0, return_inverse=True,
                                  return_counts=True)
    there = points[square.ravel() == counts.argmax()]
    least_x, least_y = map(float, there.min(axis=0))
    greatest_x, greatest_y = map(float, there.max(axis=0))
    return place_of((least_x, least_y, greatest_x, greatest_y))


def _how_printed(overlay: Overlay) -> _Printed:
    if isinstance(overlay, LineWork):
        return _Printed(overlay.table.ink, 1.0, overlay.table.beneath == "knock out",
                        overlay.table.white_beneath)
    drawn = overlay.drawn
    return _Printed(drawn.ink, drawn.tint, drawn.knocks_out, drawn.on_white)


def points_on(overlay: LineWork) -> FloatArray:
    """Inked places of line work in a picture, shape (N, 2): what lies beneath is its ground."""
    grid = overlay.grid
    step = max(1, round(_PICKED_MM / grid.pixel_mm))
    seen = overlay.cover.at(np.arange(0, grid.rows, step)[:, None],
                            np.arange(0, grid.columns, step))
    rows, columns = np.nonzero(seen > _HALF)
    pick = slice(None, None, max(1, -(-len(rows) // _MOST_POINTS)))
    return np.column_stack([grid.row_centres_x_mm()[rows[pick] * step],
                            grid.column_centres_y_mm()[columns[pick] * step]])


def points_beside(work: VectorWork) -> FloatArray:
    """Points just outside a drawing, evenly spaced, shape (N, 2) in board mm."""
    rings = [ring for part in get_parts(spread(work.visible, _BESIDE_MM))
             for ring in (part.exterior, *part.interiors)]
    total = sum(ring.length for ring in rings)
    step = max(_STEP_MM, total / _MOST_POINTS)
    found = [line_interpolate_point(ring, np.arange(0.0, ring.length, step)) for ring in rings]
    return np.array([(p.x, p.y) for points in found for p in points]).reshape(-1, 2)


def _pixels(points: FloatArray, grid: RasterGrid) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Row and column of the pixel at, or nearest to, each point."""
    rows = np.floor((grid.top_x_mm - points[:, 0]) / grid.pixel_mm).astype(np.int64)
    columns = np.floor((grid.left_y_mm - points[:, 1]) / grid.pixel_mm).astype(np.int64)
    return np.clip(rows, 0, grid.rows - 1), np.clip(columns, 0, grid.columns - 1)
