"""A grid of the ground's heights, and what the ground hides from a camera."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preflight.tracks.camera import EARTH_RADIUS_M, REFRACTION
from preflight.tracks.local_frame import LocalFrame
from preflight.tracks.track_points import BoolArray, FloatArray

#: A line of sight is led over to the grid's coordinates at so many places, straight between: over
#: 50 km this is true to some 0.2 m in height.
_KNOTS = 33
_MOST_SAMPLES = 4000
#: Lines of sight that are looked at together.
_AT_ONCE = 256
#: Own rules, no source: what a track shows stands so high over the ground (m), whoever took the
#: photo stood so high, and the cells at either end, on which they stand, hide nothing.
WALKER_M, EYE_M = 2.0, 1.5
_OWN_CELLS = 1.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeightGrid:
    """Heights at the middles of cells.

    Attributes
    ----------
    heights_m : NDArray of float32, shape (rows, columns)
        Heights (metres), of whatever level the job says; NaN where there is none.
    first_x, first_y : float
        Middle of the first cell, in the grid's own coordinates.
    step_x, step_y : float
        From one column, and one row, to the next.
    cell_m : float
        The smaller side of a cell (metres).
    to_grid : Any
        PROJ's way from longitude and latitude to the grid's coordinates.
    """

    heights_m: NDArray[np.float32]
    first_x: float
    first_y: float
    step_x: float
    step_y: float
    cell_m: float
    to_grid: Any = field(repr=False)

    def heights_at(self, latitude_deg: FloatArray, longitude_deg: FloatArray) -> FloatArray:
        """Heights (metres) at places, between cells straight; NaN where the grid has none."""
        return self.heights_on(*self.places_on(latitude_deg, longitude_deg))

    def places_on(self, latitude_deg: FloatArray, longitude_deg: FloatArray
                  ) -> tuple[FloatArray, FloatArray]:
        """Columns and rows, from 0 at the middle of the first cell, fractions included."""
        x, y = self.to_grid.transform(longitude_deg, latitude_deg)
        return ((np.asarray(x) - self.first_x) / self.step_x,
                (np.asarray(y) - self.first_y) / self.step_y)

    def heights_on(self, column: FloatArray, row: FloatArray) -> FloatArray:
        """Heights at columns and rows, bilinear; NaN outside the grid and beside missing ones."""
        rows, columns = self.heights_m.shape
        with np.errstate(invalid="ignore"):
            inside = (column >= 0) & (column <= columns - 1) & (row >= 0) & (row <= rows - 1)
        column, row = np.where(inside, column, 0.0), np.where(inside, row, 0.0)
        left = np.minimum(column.astype(np.int64), columns - 2)
        above = np.minimum(row.astype(np.int64), rows - 2)
        across, down = column - left, row - above
        z = self.heights_m
        upper = z[above, left] * (1 - across) + z[above, left + 1] * across
        lower = z[above + 1, left] * (1 - across) + z[above + 1, left + 1] * across
        return np.asarray(np.where(inside, upper * (1 - down) + lower * down, np.nan))


def is_hidden(grid: HeightGrid, frame: LocalFrame, eye_m: FloatArray, local_m: FloatArray,
              lift_m: float = 0.0) -> BoolArray:
    """Which places the ground hides from an eye.

    Parameters
    ----------
    grid : HeightGrid
        The ground; where it has no height it hides nothing.
    frame : LocalFrame
        What ``eye_m`` and ``local_m`` are counted in.
    eye_m : NDArray of float64, shape (3,)
        East, north, up (metres) of the camera; it is lifted out of the ground if it lies in it.
    local_m : NDArray of float64, shape (N, 3)
        The places.
    lift_m : float
        What is added to the grid's heights to make them heights over the ellipsoid.

    Returns
    -------
    NDArray of bool, shape (N,)

    Notes
    -----
    The ground's heights are held against the line of sight every half cell. The earth's curve is
    in the frame; refraction lifts a line of length D by k t (1 − t) D² / 2R at its share t
    (see `preflight.tracks.camera.REFRACTION`).
    """
    eye = np.array(eye_m, np.float64)
    latitude, longitude, height = frame.places_of(eye[None])
    ground = grid.heights_at(latitude, longitude)[0] + lift_m
    if np.isfinite(ground):
        eye[2] += max(0.0, ground + EYE_M - height[0])
    raised = local_m + np.array([0.0, 0.0, WALKER_M])
    hidden = np.zeros(len(local_m), bool)
    for first in range(0, len(local_m), _AT_ONCE):
        part = slice(first, first + _AT_ONCE)
        hidden[part] = _some_hidden(grid, frame, eye, raised[part], lift_m)
    return hidden


def _some_hidden(grid: HeightGrid, frame: LocalFrame, eye: FloatArray, places: FloatArray,
                 lift_m: float) -> BoolArray:
    ways = places - eye
    far = np.linalg.norm(ways, axis=1)
    knots = np.linspace(0.0, 1.0, _KNOTS)
    lines = (eye + knots[None, :, None] * ways[:, None, :]).reshape(-1, 3)
    latitude, longitude, height = frame.places_of(lines)
    column, row = grid.places_on(latitude, longitude)
    samples = int(np.clip(np.ceil(2 * far.max() / grid.cell_m), _KNOTS, _MOST_SAMPLES))
    share = (np.arange(samples) + 0.5) / samples
    at, part = np.divmod(share * (_KNOTS - 1), 1)
    knot = at.astype(np.int64)

    def between(values: FloatArray) -> FloatArray:
        whole = values.reshape(-1, _KNOTS)
        return np.asarray(whole[:, knot] * (1 - part) + whole[:, knot + 1] * part)

    over = between(height) + (share * (1 - share)) * far[:, None]**2 * (
        REFRACTION / (2 * EARTH_RADIUS_M))
    ground = grid.heights_on(between(column), between(row)) + lift_m
    own = _OWN_CELLS * grid.cell_m
    counts = (share * far[:, None] > own) & ((1 - share) * far[:, None] > own)
    with np.errstate(invalid="ignore"):
        return np.asarray(((ground > over) & counts).any(axis=1))
