"""A plane frame on the earth: metres to the east, to the north and upwards from one place."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np

from preflight.tracks.track_points import FloatArray


class LocalFrame:
    """East, north and up (metres) from a place on the ellipsoid WGS 84.

    Parameters
    ----------
    latitude_deg, longitude_deg, height_m : float
        The place, its height over the ellipsoid.

    Notes
    -----
    By PROJ: geographic to geocentric coordinates (EPSG method 9602) and these to topocentric ones
    (EPSG method 9836). The frame is flat: the earth falls away beneath it, so that its curve is
    in the figures.
    """

    def __init__(self, latitude_deg: float, longitude_deg: float, height_m: float) -> None:
        self.origin = (latitude_deg, longitude_deg, height_m)
        self._transformer = _topocentric(longitude_deg, latitude_deg, height_m)

    def local_of(self, latitude_deg: FloatArray, longitude_deg: FloatArray,
                 height_m: FloatArray) -> FloatArray:
        """East, north, up (metres), shape (N, 3), of places with heights over the ellipsoid."""
        return np.column_stack(self._transformer.transform(longitude_deg, latitude_deg, height_m))

    def places_of(self, local_m: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Latitude and longitude (degrees) and height (metres) of local places, shape (N, 3)."""
        lon, lat, height = self._transformer.transform(
            local_m[:, 0], local_m[:, 1], local_m[:, 2], direction="INVERSE")
        return np.asarray(lat), np.asarray(lon), np.asarray(height)

    def flat_map_of(self, latitude_deg: FloatArray, longitude_deg: FloatArray) -> FloatArray:
        """East and north (metres), shape (N, 2), on a transverse Mercator map about the origin."""
        latitude, longitude, _ = self.origin
        mapped = _projection(longitude, latitude).transform(longitude_deg, latitude_deg)
        return np.column_stack(mapped)


@cache
def projections() -> Any:
    """PROJ, kept from fetching grids from a network; loaded where a job has tracks."""
    import pyproj
    import pyproj.network

    pyproj.network.set_network_enabled(active=False)  # type: ignore[attr-defined]
    return pyproj


def _topocentric(longitude: float, latitude: float, height: float) -> Any:
    return projections().Transformer.from_pipeline(
        "+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad "
        "+step +proj=cart +ellps=WGS84 "
        f"+step +proj=topocentric +ellps=WGS84 +lon_0={longitude!r} +lat_0={latitude!r} "
        f"+h_0={height!r}")


def _projection(longitude: float, latitude: float) -> Any:
    return projections().Transformer.from_pipeline(
        "+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad "
        f"+step +proj=tmerc +ellps=WGS84 +lon_0={longitude!r} +lat_0={latitude!r}")
