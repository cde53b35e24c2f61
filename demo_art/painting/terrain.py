"""The invented lie of the land, and which point of it each pixel sees.

The picture is a cylinder's view: u runs along it (0 to 5 picture heights), v down it (0 to 1).
The ground is a height field over bearing and distance, met by marching outwards.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline, PchipInterpolator
from scipy.spatial import cKDTree

from demo_art.painting.noise_tiles import Plane, ease, fractal_tile, look_up

PICTURE_SPAN = 5.0
HORIZON = 0.385
FOCAL = 2.6
EYE_M = 22.0
NEAREST_M = 9.0
FARTHEST_M = 9000.0
_LOG_SPAN = float(np.log(FARTHEST_M / NEAREST_M))
_PLAN_COLUMNS, _PLAN_ROWS = 1200, 640

# The brow of the near ground: u, its distance (m), and where it shows in the picture (v).
_BROW = np.array([
    (0.0, 135, 0.400), (0.3, 105, 0.432), (0.6, 74, 0.492), (0.9, 44, 0.625), (1.2, 25, 0.790),
    (1.6, 18, 0.885), (2.2, 16, 0.925), (2.7, 18, 0.900), (3.05, 26, 0.800), (3.4, 45, 0.655),
    (3.8, 80, 0.520), (4.2, 120, 0.448), (4.6, 165, 0.398), (5.0, 210, 0.352)])

# Tidal channels: (u, v) along each, and the half width in metres at both ends.
_CHANNELS: tuple[tuple[tuple[tuple[float, float], ...], float, float], ...] = (
    (((3.3, 0.392), (3.24, 0.402), (3.42, 0.414), (3.05, 0.433), (2.05, 0.456), (1.35, 0.492),
      (1.55, 0.545), (2.35, 0.585), (2.85, 0.645), (2.45, 0.730), (1.75, 0.83), (1.5, 0.99)),
     420.0, 13.0),
    (((1.35, 0.492), (0.95, 0.478), (0.62, 0.462), (0.2, 0.452), (-0.1, 0.449)), 22.0, 16.0),
    (((2.85, 0.645), (3.12, 0.622), (3.22, 0.582), (3.08, 0.551), (3.4, 0.522), (3.62, 0.492),
      (3.5, 0.470), (3.9, 0.452), (4.3, 0.441)), 6.5, 4.0),
    (((2.35, 0.585), (2.22, 0.550), (2.45, 0.522), (2.38, 0.500), (2.75, 0.479), (3.1, 0.466)),
     6.0, 3.0),
    (((2.6, 0.705), (2.28, 0.690), (2.02, 0.655), (1.80, 0.652), (1.70, 0.625), (1.3, 0.615),
      (1.1, 0.59)), 3.6, 1.4),
    (((3.08, 0.551), (2.86, 0.545), (2.78, 0.525), (2.62, 0.520)), 2.6, 1.0),
    (((3.40, 0.415), (3.18, 0.432), (3.40, 0.450), (3.52, 0.468), (3.16, 0.490), (3.0, 0.520),
      (3.08, 0.551), (3.22, 0.582)), 85.0, 6.0),
    (((2.02, 0.655), (2.06, 0.625), (1.93, 0.605)), 1.6, 0.7),
)
_PATH = ((3.62, 1.02), (3.74, 0.90), (4.02, 0.78), (4.04, 0.68), (3.88, 0.62), (4.02, 0.565),
         (4.25, 0.53), (4.23, 0.50), (4.12, 0.478), (4.2, 0.462))


class Terrain:
    """Heights, water courses and the path of the invented estuary."""

    def __init__(self, seed: int) -> None:
        self.relief = fractal_tile(1024, 1.9, seed + 11, longest=0.4)
        self.bumps = fractal_tile(1024, 1.25, seed + 12, longest=0.06, shortest_px=4.0)
        self._height, self._channel, self._near = self._plan()

    def _plan(self) -> tuple[Plane, Plane, Plane]:
        u_line = np.linspace(-0.05, PICTURE_SPAN + 0.05, _PLAN_COLUMNS)
        log_line = np.linspace(0.0, _LOG_SPAN, _PLAN_ROWS)
        u, step = (grid.astype(np.float32) for grid in np.meshgrid(u_line, log_line))
        distance = np.float32(NEAREST_M) * np.exp(step)
        brow_m = PchipInterpolator(_BROW[:, 0], _BROW[:, 1])(u_line).astype(np.float32)
        brow_v = PchipInterpolator(_BROW[:, 0], _BROW[:, 2])(u_line).astype(np.float32)
        brow_height = EYE_M - (brow_v - HORIZON) * brow_m / FOCAL
        east, north = u * 60.0, step * 110.0
        swell = look_up(self.relief, east, north)
        share = np.clip((distance - NEAREST_M) / (brow_m - NEAREST_M), 0.0, 1.0)
        foot = 19.6 + (brow_height - 19.6) * share ** 0.85
        foot -= np.sin(np.pi * share) * 0.016 * brow_m * (1.0 + 0.5 * swell)
        near = ease(2.1, 1.0, distance / brow_m + 0.10 * swell)
        channel = _distance_to_channels(u, distance)
        flats = np.where(channel > 0, 1.5 * (1.0 - np.exp(-np.maximum(channel, 0.0) / 42.0)),
                         np.maximum(channel * 0.12, -2.0)).astype(np.float32)
        far = ease(700.0, 2600.0, distance)
        flats = np.where(channel > 0, flats * (1 - 0.80 * far) - 0.10 * far, flats)
        spit = np.exp(-((u - 0.35) / 0.62) ** 2 - ((np.log(distance / 560.0)) / 0.16) ** 2) * 6.5
        bank = np.exp(-((u - 4.75) / 0.7) ** 2 - ((np.log(distance / 780.0)) / 0.30) ** 2) * 14.0
        isle = np.exp(-((u - 2.45) / 0.28) ** 2 - ((np.log(distance / 900.0)) / 0.07) ** 2) * 4.0
        flats += (spit + bank + isle) * (1.0 + 0.25 * swell)
        height = flats + (foot - flats) * near
        return height.astype(np.float32), channel, near

    def _from_plan(self, plan: Plane, u: Plane, distance: Plane) -> Plane:
        x = (u + 0.05) * np.float32((_PLAN_COLUMNS - 1) / (PICTURE_SPAN + 0.1))
        y = np.log(distance / np.float32(NEAREST_M)) * np.float32((_PLAN_ROWS - 1) / _LOG_SPAN)
        drawn: Plane = cv2.remap(plan, x, y.astype(np.float32), cv2.INTER_LINEAR,
                                 borderMode=cv2.BORDER_REPLICATE)
        return drawn

    def height_m(self, u: Plane, distance: Plane) -> Plane:
        """Ground height in metres above the water, vegetation's hummocks included."""
        bearing = (u - 2.5) / np.float32(FOCAL)
        x, z = distance * np.sin(bearing), distance * np.cos(bearing)
        near = self._from_plan(self._near, u, distance)
        hill = look_up(self.relief, x * 9.0, z * 9.0) * np.minimum(distance * 0.012, 1.3)
        hummock = look_up(self.bumps, x * 26.0, z * 26.0) * np.minimum(distance * 0.0055, 0.15)
        shrub = ease(0.7, 2.4, look_up(self.bumps, x * 7.0 + 400.0, z * 7.0))
        shrub = shrub * np.minimum(distance * 0.008, 0.5)
        plants = 0.25 + 0.75 * ease(0.75, 1.35, u)
        rough: Plane = near * (hill + plants * (hummock + shrub))
        return self._from_plan(self._height, u, distance) + rough

    def channel_m(self, u: Plane, distance: Plane) -> Plane:
        """Metres from the nearest channel's edge (less than 0 in the water)."""
        return self._from_plan(self._channel, u, distance)

    def nearness(self, u: Plane, distance: Plane) -> Plane:
        """1 on the heath and the dune at our feet, 0 on the flats."""
        return self._from_plan(self._near, u, distance)

    def plan_height_m(self, u: Plane, distance: Plane) -> Plane:
        """Ground height in metres without hummocks."""
        return self._from_plan(self._height, u, distance)

    def seen_distance_m(self, u_line: Plane, v_line: Plane, steps: int) -> Plane:
        """Distance of the first ground that each pixel's ray meets, in metres.

        Parameters
        ----------
        u_line : ndarray, shape (cols,), float32
        v_line : ndarray, shape (rows,), float32, rising
        steps : int
            Marching steps from the nearest to the farthest ground.

        Returns
        -------
        ndarray, shape (rows, cols), float32
            0 where the ray meets no ground (sky).
        """
        log_steps = np.linspace(0.0, _LOG_SPAN, steps)
        distance = (NEAREST_M * np.exp(log_steps)).astype(np.float32)
        grid_u = np.ascontiguousarray(np.broadcast_to(u_line[:, None], (len(u_line), steps)))
        grid_d = np.ascontiguousarray(np.broadcast_to(distance[None, :], grid_u.shape))
        top = HORIZON - (np.maximum(self.height_m(grid_u, grid_d), 0.0) - EYE_M) * FOCAL / grid_d
        skyline = np.minimum.accumulate(top, axis=1)[:, ::-1]
        reached = log_steps[::-1]
        seen = np.empty((len(u_line), len(v_line)), np.float32)
        for column, line in enumerate(skyline):
            seen[column] = np.interp(v_line, line, reached)
        seen = np.float32(NEAREST_M) * np.exp(seen)
        seen[v_line[None, :] < skyline[:, :1]] = 0.0
        return np.ascontiguousarray(seen.T)


def _smooth_line(points: NDArray[np.float64], count: int) -> NDArray[np.float64]:
    along = np.linspace(0.0, len(points) - 1.0, count)
    drawn: NDArray[np.float64] = CubicSpline(np.arange(len(points)), points)(along)
    return drawn


def channel_lines() -> list[tuple[NDArray[np.float64], NDArray[np.float64]]]:
    """Each channel's middle line as (n, 2) u, v and its half width (n,) in metres."""
    lines = []
    for points, first_m, last_m in _CHANNELS:
        uv = _smooth_line(np.array(points), 450)
        along = np.linspace(0.0, 1.0, len(uv))
        lines.append((uv, np.exp(np.log(first_m) + np.log(last_m / first_m) * along ** 0.6)))
    return lines


def path_line() -> NDArray[np.float64]:
    """The heath path's middle line, (n, 2) u and v as if drawn on the picture."""
    return _smooth_line(np.array(_PATH), 400)


def _world(u: NDArray[np.float64], distance: NDArray[np.float64]) -> NDArray[np.float64]:
    bearing = (u - 2.5) / FOCAL
    return np.stack([distance * np.sin(bearing), distance * np.cos(bearing)], axis=-1)


def _distance_to_channels(u: Plane, distance: Plane) -> Plane:
    best = np.full(u.shape, 1e6)
    ground = _world(u.astype(np.float64), distance.astype(np.float64))
    for uv, half_m in channel_lines():
        flat_m = EYE_M * FOCAL / np.maximum(uv[:, 1] - HORIZON, 2e-3)
        away, nearest = cKDTree(_world(uv[:, 0], flat_m)).query(ground, workers=-1)
        best = np.minimum(best, away - half_m[nearest])
    return best.astype(np.float32)


def path_m(u: Plane, v: Plane, distance: Plane) -> Plane:
    """Metres to the side of the heath path's middle line, at each pixel."""
    line = path_line()[::-1]
    middle = np.interp(v, line[:, 1], line[:, 0]).astype(np.float32)
    aside: Plane = np.abs(u - middle) * distance / np.float32(FOCAL)
    return aside
