"""An invented headland in the open ocean: its lie, its two paths, and its beacons.

Places are metres to the right of a camera's view and ahead of it. Nobody can walk there: at the
latitude and longitude that it is given there is nothing but water.
"""

from __future__ import annotations

import numpy as np
import pyproj
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline
from scipy.spatial import cKDTree

from demo_art.painting.noise_tiles import ease, fractal_tile, look_up

Array = NDArray[np.float64]

LATITUDE, LONGITUDE = 46.5, -27.25
VIEW_DEG = 38.0  # bearing of the picture's middle
EYE_M = 96.0
PHOTO_PX = (6000, 1320)
FOCAL_PX = 5400.0
#: Light bends: of the earth's fall 1 - 0.13 is seen. The same figures as the tool's own.
_SEEN_FALL = (1 - 0.13) / (2 * 6_371_008.8)

# The headland's back: right, ahead, height, half width (m).
_BACK = np.array([
    (2300, 1500, 175, 560), (1500, 1650, 150, 500), (800, 1950, 118, 420), (200, 2150, 132, 400),
    (-450, 2400, 104, 330), (-1000, 2750, 62, 250), (-1350, 3050, 24, 170)])
# Knolls before it: right, ahead, height, radius (m).
_KNOLLS = ((-150, 1830, 62, 190), (900, 1380, 58, 200), (-760, 2330, 34, 120), (310, 1590, 52, 105),
           (0, 60, 90, 400), (620, 420, 46, 330), (-560, 380, 34, 300), (1300, 900, 40, 330))
_RIDGE_WALK = ((1330, 1170), (1420, 1290), (1250, 1430), (1120, 1560), (900, 1760), (640, 1890),
               (400, 2020), (170, 2080), (-100, 2360), (-400, 2560), (-720, 2560), (-980, 2690),
               (-1180, 2880))
_SHORE_WALK = ((1330, 1170), (1420, 1290), (1250, 1430), (1000, 1540), (690, 1560), (430, 1650),
               (190, 1740), (-20, 1690), (-260, 1720), (-350, 1900), (-500, 2080), (-760, 2210),
               (-900, 2420), (-1130, 2640), (-1330, 2830))
_BEACONS = ((760, 1500), (900, 1760), (560, 2000), (190, 2140), (310, 1590), (-150, 1825),
            (-450, 2050), (-760, 2320), (-1060, 2500), (-1240, 2980))
BEACON_M = 16.0


class Headland:
    """The ground, and what stands on it."""

    def __init__(self, seed: int) -> None:
        self._swell = fractal_tile(1024, 1.9, seed + 1, longest=0.2)
        share = np.linspace(0, len(_BACK) - 1, 500)
        self._back = CubicSpline(np.arange(len(_BACK)), _BACK)(share)
        self._tree = cKDTree(self._back[:, :2])

    def height_m(self, right: Array, ahead: Array) -> Array:
        """Height over the sea in metres; below 0 under water."""
        away, nearest = self._tree.query(np.stack([right, ahead], axis=-1))
        top, wide = self._back[nearest, 2], self._back[nearest, 3]
        land = (top + 9) * np.exp(-1.3 * (away / wide) ** 2)
        for x, y, high, radius in _KNOLLS:
            land = np.hypot(land, (high + 9) * np.exp(
                -((right - x) ** 2 + (ahead - y) ** 2) / (2 * (radius / 1.5) ** 2)))
        rough = look_up(self._swell, (right + 5000) / 6.0, (ahead + 5000) / 6.0).reshape(land.shape)
        rough = rough * ease(20.0, 250.0, np.hypot(right, ahead))
        return np.asarray(land - 9 + rough * np.minimum(land * 0.075, 6.0))

    def beacons(self) -> Array:
        """Right, ahead and height of the beacons' tops, shape (N, 3)."""
        at = np.array(_BEACONS, np.float64)
        return np.column_stack([at, self.height_m(at[:, 0], at[:, 1]) + BEACON_M])


def walks() -> tuple[Array, Array]:
    """The two walks, right and ahead in metres, a point each 8 m."""
    return _walk(_RIDGE_WALK), _walk(_SHORE_WALK)


def _walk(corners: tuple[tuple[int, int], ...]) -> Array:
    way = CubicSpline(np.arange(len(corners)), np.array(corners, np.float64))(
        np.linspace(0, len(corners) - 1, 4000))
    along = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(way, axis=0).T))])
    at = np.linspace(0, along[-1], int(along[-1] / 8))
    return np.column_stack([np.interp(at, along, way[:, axis]) for axis in (0, 1)])


def on_photo(right: Array, ahead: Array, height_m: Array) -> Array:
    """Pixels (N, 2) from the picture's left and top edge: a level pinhole."""
    up = height_m - EYE_M - _SEEN_FALL * (right**2 + ahead**2)
    return np.stack([PHOTO_PX[0] / 2 + FOCAL_PX * right / ahead,
                     PHOTO_PX[1] / 2 - FOCAL_PX * up / ahead], axis=-1)


def on_earth(right: Array, ahead: Array) -> tuple[Array, Array]:
    """Latitude and longitude in degrees of WGS 84."""
    turn = np.radians(VIEW_DEG)
    east = right * np.cos(turn) + ahead * np.sin(turn)
    north = ahead * np.cos(turn) - right * np.sin(turn)
    lon, lat = _map().transform(east, north, direction="INVERSE")
    return np.asarray(lat), np.asarray(lon)


def from_earth(latitude: Array, longitude: Array) -> tuple[Array, Array]:
    """Metres to the right and ahead of places in degrees."""
    east, north = _map().transform(longitude, latitude)
    turn = np.radians(VIEW_DEG)
    return (np.asarray(east * np.cos(turn) - north * np.sin(turn)),
            np.asarray(east * np.sin(turn) + north * np.cos(turn)))


def _map() -> pyproj.Transformer:
    return pyproj.Transformer.from_pipeline(
        "+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad +step +proj=tmerc "
        f"+ellps=WGS84 +lat_0={LATITUDE} +lon_0={LONGITUDE}")
