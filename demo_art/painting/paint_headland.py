"""Paint the photograph of the headland, and write its walks, its landmarks and its heights.

``python demo_art/painting/paint_headland.py`` writes all of them anew; all invented.
"""

from __future__ import annotations

import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import cv2
import numpy as np
import pyproj
from numpy.typing import NDArray
from PIL import Image
from scipy.spatial import cKDTree

sys.path.append(str(Path(__file__).resolve().parents[2]))  # run as a script, find demo_art

from demo_art.painting.headland import (
    BEACON_M,
    EYE_M,
    FOCAL_PX,
    PHOTO_PX,
    Array,
    Headland,
    from_earth,
    on_earth,
    on_photo,
    walks,
)
from demo_art.painting.noise_tiles import ease, fractal_tile, look_up
from demo_art.painting.paint_landscape import srgb_profile

FOLDER = Path(__file__).resolve().parents[1]
SEED = 24
PATH_M = 2.5  # half the width of the painted paths
_NEAREST_M, _FARTHEST_M, _STEPS = 12.0, 36_000.0, 2400
_STRIP_PX = 500
_DIP_PX = 32  # so far the sea's edge lies below the level
_SUN = np.array([-0.62, -0.35, 0.70])
_CELL_M = 20.0
_GRID_EPSG = "EPSG:32626"


def paint(seed: int = SEED, scale: float = 1.0) -> NDArray[np.uint8]:
    """The photograph, (rows, columns, 3) sRGB; ``scale`` paints it smaller."""
    width, height = round(PHOTO_PX[0] * scale), round(PHOTO_PX[1] * scale)
    land, grain = Headland(seed), fractal_tile(1024, 1.1, seed + 9, longest=0.1)
    paths = cKDTree(np.vstack([_fine(walk) for walk in walks()]))
    rows = np.asarray((np.arange(height) + 0.5) / scale, np.float64)
    picture = np.empty((height, width, 3), np.float32)
    for first in range(0, width, _STRIP_PX):
        columns = np.asarray(
            (np.arange(first, min(first + _STRIP_PX, width)) + 0.5) / scale, np.float64)
        picture[:, first:first + len(columns)] = _strip(land, grain, paths, columns, rows)
    picture += np.random.default_rng(seed).normal(0, 0.007, (height, width, 1))  # grain
    out: NDArray[np.uint8] = np.clip(picture * 255 + 0.5, 0, 255).astype(np.uint8)
    for right, ahead, top in land.beacons():
        _stand(out, right, ahead, top, scale)
    return out


def _fine(walk: Array) -> Array:
    count = 8 * len(walk)
    at = np.linspace(0, len(walk) - 1, count)
    return np.column_stack([np.interp(at, np.arange(len(walk)), walk[:, n]) for n in (0, 1)])


def _strip(land: Headland, grain: NDArray[np.float32], paths: cKDTree, columns: Array,
           rows: Array) -> NDArray[np.float32]:
    bearing = np.arctan((columns - PHOTO_PX[0] / 2) / FOCAL_PX)
    logs = np.linspace(np.log(_NEAREST_M), np.log(_FARTHEST_M), _STEPS)
    right = np.sin(bearing)[:, None] * np.exp(logs)
    ahead = np.cos(bearing)[:, None] * np.exp(logs)
    high = np.maximum(land.height_m(right, ahead), 0.0)
    top = on_photo(right, ahead, high)[..., 1]
    skyline = np.minimum.accumulate(top, axis=1)
    seen = np.stack([np.interp(rows, line[::-1], logs[::-1]) for line in skyline], axis=1)
    sky = rows[:, None] < skyline[:, -1][None, :]
    away = np.exp(seen)
    x, y = away * np.sin(bearing), away * np.cos(bearing)
    colour = _ground(land, grain, paths, x, y, away)
    haze = (1 - np.exp(-away / 16_000.0))[..., None]
    colour = colour + (np.array((0.80, 0.84, 0.88)) - colour) * haze
    climb = np.clip(1 - rows / (PHOTO_PX[1] / 2 + _DIP_PX), 0, 1)[:, None]
    return np.where(sky[..., None], _sky(grain, columns, climb), colour).astype(np.float32)


def _sky(grain: NDArray[np.float32], columns: Array, climb: Array) -> Array:
    blue = (np.array((0.84, 0.87, 0.90))
            + (np.array((0.46, 0.60, 0.78)) - np.array((0.84, 0.87, 0.90))) * climb[..., None])
    deep = 1.0 / (climb + 0.25)
    cloud = look_up(grain, columns[None, :] / 24.0 * deep, 60.0 * deep + 0 * columns[None, :])
    thick = ease(0.2, 2.2, cloud)[..., None] * 0.55
    return np.asarray(blue + (np.array((0.96, 0.95, 0.94)) - blue) * thick)


def _ground(land: Headland, grain: NDArray[np.float32], paths: cKDTree, x: Array, y: Array,
            away: Array) -> Array:
    high = land.height_m(x, y)
    step = 4.0
    slope = np.stack([land.height_m(x + step, y) - high, land.height_m(x, y + step) - high,
                      np.full_like(x, -step)], axis=-1) / -step
    slope /= np.linalg.norm(slope, axis=-1, keepdims=True)
    light = np.clip(slope @ (_SUN / np.linalg.norm(_SUN)), 0, 1)
    speck = look_up(grain, x / 3.1, y / 3.1) + 0.6 * look_up(grain, x / 0.9, y / 0.9)
    grass = np.array((0.34, 0.40, 0.19)) + 0.045 * speck[..., None] * np.array((1.2, 1.0, 0.5))
    heath = np.array((0.42, 0.34, 0.27)) + 0.035 * speck[..., None]
    rock = np.array((0.46, 0.43, 0.40)) + 0.06 * speck[..., None]
    colour = grass + (heath - grass) * ease(30.0, 90.0, high + 18 * speck)[..., None]
    colour += (rock - colour) * ease(0.90, 0.80, slope[..., 2])[..., None]
    colour += (np.array((0.74, 0.67, 0.52)) - colour) * ease(5.0, 1.5, high)[..., None]
    colour = colour * (0.45 + 0.75 * light[..., None])
    near, _ = paths.query(np.stack([x, y], axis=-1), distance_upper_bound=3 * PATH_M)
    trodden = ease(PATH_M, 0.8 * PATH_M, np.asarray(near))[..., None]
    colour += (np.array((0.88, 0.80, 0.64)) - colour) * trodden
    waves = look_up(grain, x / 9.0, away**0.5 * 9.0) * np.clip(900 / away, 0.05, 1)
    sea = np.array((0.30, 0.42, 0.50)) + 0.03 * waves[..., None]
    sea = sea + (np.array((0.72, 0.78, 0.82)) - sea) * ease(2000, 30_000, away)[..., None] * 0.7
    return np.asarray(np.where(high[..., None] <= 0, sea, colour))


def _stand(picture: NDArray[np.uint8], right: float, ahead: float, top: float,
           scale: float) -> None:
    """A white beacon with a red top, where nothing hides it."""
    ends = on_photo(np.array([right, right]), np.array([ahead, ahead]),
                    np.array([top - BEACON_M, top])) * scale
    (x, low), (_, high) = ends
    half = max(1.0 * scale, scale * FOCAL_PX * 0.9 / ahead)
    for upper, lower, colour in ((high, low, (240, 238, 232)),
                                 (high, high + 0.3 * (low - high), (190, 40, 36))):
        box = np.array([(x - half, upper), (x + half, upper), (x + half, lower), (x - half, lower)])
        cv2.fillConvexPoly(picture, np.rint((box - 0.5) * 16).astype(np.int32), colour,
                           cv2.LINE_AA, 4)


def gpx_text(land: Headland) -> str:
    """The two walks as they would have been recorded."""
    lines = ['<?xml version="1.0" encoding="UTF-8"?>',
             '<gpx version="1.1" creator="invented" xmlns="http://www.topografix.com/GPX/1/1">']
    for number, walk in enumerate(walks()):
        lines.append("<trk><trkseg>")
        start = datetime(2026, 6, 1 + number, 8, tzinfo=UTC)
        for place, (lat, lon, high) in enumerate(zip(
                *on_earth(*walk.T), land.height_m(*walk.T), strict=True)):
            when = (start + timedelta(seconds=7 * place)).strftime("%Y-%m-%dT%H:%M:%SZ")
            lines.append(f'<trkpt lat="{lat:.7f}" lon="{lon:.7f}"><ele>{high:.1f}</ele>'
                         f"<time>{when}</time></trkpt>")
        lines.append("</trkseg></trk>")
    return "\n".join([*lines, "</gpx>", ""])


def landmarks_text(land: Headland) -> str:
    """The beacons as landmarks of a job, each marked to the pixel."""
    tables = []
    for right, ahead, top in land.beacons():
        place = np.array([right]), np.array([ahead])
        (lat,), (lon,) = on_earth(*place)
        (u, v), = on_photo(*place, np.array([top]))
        tables.append(f'[[landmark]]\nat = ["{u:.0f} px", "{v:.0f} px"]\nlatitude = {lat:.7f}\n'
                      f'longitude = {lon:.7f}\nheight = "{top:.1f} m"\n')
    return "\n".join(tables)


def grid_text(land: Headland) -> str:
    """Heights in cells of 20 m, as an ESRI ASCII grid in UTM zone 26 north."""
    utm = pyproj.Transformer.from_crs("EPSG:4326", _GRID_EPSG, always_xy=True)
    corners = on_earth(np.array([-1800.0, 2700, -1800, 2700]), np.array([-100.0, -100, 3400, 3400]))
    east, north = utm.transform(corners[1], corners[0])
    left, low = (np.floor(np.min(side) / _CELL_M) * _CELL_M for side in (east, north))
    columns, rows = (int((np.max(side) - least) / _CELL_M) + 1
                     for side, least in ((east, left), (north, low)))
    x, y = np.meshgrid(left + _CELL_M * (np.arange(columns) + 0.5),
                       low + _CELL_M * (np.arange(rows)[::-1] + 0.5))
    lon, lat = utm.transform(x, y, direction="INVERSE")
    high = np.maximum(np.rint(land.height_m(*from_earth(lat, lon))), 0)
    head = (f"ncols {columns}\nnrows {rows}\nxllcorner {left:.0f}\nyllcorner {low:.0f}\n"
            f"cellsize {_CELL_M:.0f}\nNODATA_value -9999\n")
    return head + "\n".join(" ".join(f"{cell:g}" for cell in row) for row in high) + "\n"


def main() -> None:
    """Write the photograph, the walks and the heights; print the landmarks."""
    land = Headland(SEED)
    Image.fromarray(paint()).save(FOLDER / "headland.jpg", quality=92, subsampling="4:2:0",
                                  optimize=True, icc_profile=srgb_profile())
    (FOLDER / "headland_walks.gpx").write_text(gpx_text(land), encoding="utf-8")
    (FOLDER / "headland_heights.asc").write_text(grid_text(land), encoding="utf-8")
    print(f"# eye {EYE_M:g} m over the sea\n{landmarks_text(land)}")


if __name__ == "__main__":
    main()
