"""The evening sky, its clouds and the hills on the skyline."""

from __future__ import annotations

import numpy as np
from scipy.interpolate import PchipInterpolator

from demo_art.painting.noise_tiles import Plane, blend, ease, fractal_tile, look_up
from demo_art.painting.terrain import HORIZON, PICTURE_SPAN

SUN_U = 3.28
SUN_V = 0.318


class Sky:
    """Everything above the water line, at any position of the picture (u, v in its heights)."""

    def __init__(self, seed: int) -> None:
        self._billows = fractal_tile(2048, 1.75, seed + 1, longest=0.25)
        self._wisps = fractal_tile(2048, 1.45, seed + 2, longest=0.3)
        self._ridge = fractal_tile(4096 if seed < 0 else 2048, 1.5, seed + 3, longest=0.5)

    def colour(self, u: Plane, v: Plane) -> Plane:
        """Sky with clouds, without hills: (rows, cols, 3) float32, display-encoded 0..1."""
        climb = np.maximum(HORIZON - v, 0.0) / np.float32(HORIZON)
        away = np.abs(u - SUN_U)
        near_sun = np.exp(-(away / 1.15) ** 2)
        picture = _gradient(climb, near_sun)
        round_sun = np.hypot((u - SUN_U) * 0.8, v - SUN_V)
        depth = 1.0 / (climb * 0.9 + 0.16)
        x = (u - 2.5) * (depth + 0.5) * 170.0 + 700.0
        y = depth * 190.0
        bend = look_up(self._wisps, x * 0.5, y * 0.7) * 14.0
        cloud = self._density(x + bend, y + bend * 0.5, climb)
        toward = self._density(x + bend + (SUN_U - u) * 26.0, y + bend * 0.5 + 15.0, climb)
        lit = np.clip(0.47 + (cloud - toward) * 1.5, 0.0, 1.0)
        thick = ease(0.25, 1.0, cloud)
        glow = np.exp(-(round_sun / 0.62) ** 2)
        shade = _between((0.43, 0.455, 0.53), (0.60, 0.47, 0.44), near_sun * (1 - climb) ** 1.2)
        bright = _between((0.90, 0.84, 0.83), (1.0, 0.83, 0.60),
                          np.clip(near_sun * (1.15 - climb), 0, 1))
        body = blend(bright, shade, thick * (1.0 - 0.72 * lit))
        body = blend(body, (1.0, 0.90, 0.68), glow * (1 - thick) * 0.8)
        picture = blend(picture, body, ease(0.02, 0.5, cloud) * 0.94)
        streak = look_up(self._wisps, x * 0.7 + y * 0.30 + 900.0, y * 3.2 - x * 0.16)
        streak = ease(0.3, 2.2, streak) * ease(0.15, 0.7, climb) * (1 - thick)
        picture = blend(picture, (0.96, 0.90, 0.86), streak * 0.42)
        return _add_sun(picture, round_sun, cloud)

    def _density(self, x: Plane, y: Plane, climb: Plane) -> Plane:
        big = look_up(self._billows, x * 0.55 + 311.0, y * 0.75 + 97.0)
        fine = look_up(self._wisps, x * 2.1, y * 2.6)
        band = ease(0.05, 0.25, climb) - 0.55 * ease(0.6, 1.0, climb)
        raw = big * 0.62 + fine * 0.17 + band * 0.70 - 0.42
        return np.clip(raw, 0.0, 1.6)

    def hills(self, picture: Plane, u: Plane, v: Plane) -> Plane:
        """Lay three hazy ridges and the far wooded shore over the sky."""
        layers = (
            (0.052, 90.0, 0.0, (0.69, 0.62, 0.64), (0.97, 0.80, 0.62)),
            (0.034, 130.0, 700.0, (0.555, 0.535, 0.585), (0.90, 0.71, 0.54)),
            (0.0185, 220.0, 1500.0, (0.41, 0.425, 0.475), (0.72, 0.57, 0.45)),
        )
        soft = np.float32(max(float(v[1, 0] - v[0, 0]) if v.shape[0] > 1 else 1e-3, 2e-4))
        near_sun = np.exp(-((u[:1] - SUN_U) / 0.8) ** 2)
        valley = 1.0 - 0.88 * np.exp(-((u[:1] - SUN_U - 0.02) / 0.62) ** 2)
        for number, (tall, frequency, offset, far, sunny) in enumerate(layers):
            line = u[:1] * frequency + offset
            swell = look_up(self._ridge, line, np.full_like(line, 40.0 + 300.0 * number))
            rough = look_up(self._wisps, line * 9.0, np.full_like(line, 77.0 * number))
            top = HORIZON - tall * valley * np.clip(0.62 + 0.30 * swell + 0.018 * rough, 0.12, 2)
            share = np.clip((v - top) / soft + 0.5, 0.0, 1.0)
            colour = _between(far, sunny, near_sun)
            low = ease(0.0, 1.0, (v - top) / np.maximum(HORIZON - top, 1e-3))
            colour = blend(np.broadcast_to(colour, (*v.shape, 3)),
                           _between((0.74, 0.68, 0.68), (1.0, 0.82, 0.60), near_sun), low * 0.42)
            picture = blend(picture, colour, share)
        return picture


def _gradient(climb: Plane, near_sun: Plane) -> Plane:
    """Clear-sky colour: blue-grey above, warm at the sun, mauve away from it."""
    stops = np.array([0.0, 0.12, 0.35, 0.65, 1.0])
    cool = np.array([(0.86, 0.70, 0.64), (0.84, 0.74, 0.70), (0.66, 0.70, 0.74),
                     (0.45, 0.545, 0.63), (0.30, 0.405, 0.515)])
    warm = np.array([(1.0, 0.76, 0.43), (1.0, 0.84, 0.56), (0.88, 0.83, 0.70),
                     (0.56, 0.64, 0.68), (0.35, 0.455, 0.55)])
    steps = np.linspace(0, 1, 512)
    tables = [PchipInterpolator(stops, table)(steps).astype(np.float32) for table in (cool, warm)]
    place = np.clip(climb * 511, 0, 511).astype(np.int32)
    mixed: Plane = blend(tables[0][place], tables[1][place], near_sun)
    return mixed


def _add_sun(picture: Plane, round_sun: Plane, cloud: Plane) -> Plane:
    veil = 1.0 - 0.5 * ease(0.5, 1.2, cloud)
    picture = blend(picture, (1.0, 0.88, 0.62), np.exp(-(round_sun / 0.16) ** 2) * 0.72 * veil)
    picture = blend(picture, (1.0, 0.97, 0.86), np.exp(-(round_sun / 0.055) ** 2) * 0.9 * veil)
    return blend(picture, (1.0, 0.995, 0.95), ease(0.0225, 0.0185, round_sun))


def _between(first: tuple[float, float, float], second: tuple[float, float, float],
             share: Plane) -> Plane:
    mixed: Plane = (np.asarray(first, np.float32)
                    + np.subtract(second, first).astype(np.float32) * share[..., None])
    return mixed


def sky_plate(sky: Sky, columns: int = 3000, rows: int = 300) -> Plane:
    """The sky with its hills down to the horizon, small: what still water mirrors."""
    u = np.broadcast_to(((np.arange(columns, dtype=np.float32) + 0.5)
                         * (PICTURE_SPAN / columns))[None, :], (rows, columns))
    v = np.broadcast_to(((np.arange(rows, dtype=np.float32) + 0.5)
                         * np.float32(HORIZON / rows))[:, None], (rows, columns))
    u, v = np.ascontiguousarray(u), np.ascontiguousarray(v)
    return sky.hills(sky.colour(u, v), u, v)
