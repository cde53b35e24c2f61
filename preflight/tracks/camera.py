"""A camera in a local frame: where places on the earth fall on its photograph."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from preflight.tracks.track_points import FloatArray

#: Light bends towards the ground: its path is a circle of the earth's radius over this. Source:
#: Gauss' mean value 0.13, as surveying handbooks give it (Torge, "Geodesy"; Bomford), from memory.
REFRACTION = 0.13
#: The earth's mean radius (m). Source: IUGG, Geodetic Reference System 1980: 6,371,008.8 m.
EARTH_RADIUS_M = 6_371_008.8
#: Nearer than this to the camera, along its axis, nothing is drawn (m).
_NEAREST_M = 0.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Camera:
    """A pinhole with one radial term.

    Attributes
    ----------
    figures : NDArray of float64, shape (8,)
        Position (east, north, up in metres), the turn from the local frame to the camera's
        (Rodrigues vector), the logarithm of the focal length in pixels, and the radial term k₁.
    centre_px : tuple of float
        The principal point: the middle of the whole photo (pixels).
    covariance : NDArray of float64, shape (8, 8)
        Of ``figures``; zero where a figure was not fitted.
    """

    figures: FloatArray
    centre_px: tuple[float, float]
    covariance: FloatArray

    @property
    def position_m(self) -> FloatArray:
        """East, north, up (metres)."""
        return self.figures[:3]

    def pixels_of(self, local_m: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Where places fall on the photo, and which lie before the camera.

        Parameters
        ----------
        local_m : NDArray of float64, shape (N, 3)
            East, north, up (metres).

        Returns
        -------
        pixels : NDArray of float64, shape (N, 2)
            From the whole photo's left and top edge; NaN behind the camera.
        depth_m : NDArray of float64, shape (N,)
            Distance along the camera's axis, below zero behind it.
        """
        seen = seen_from(self.figures, local_m)
        depth = seen[:, 2]
        with np.errstate(divide="ignore", invalid="ignore"):
            pixels = _on_photo(self.figures, seen, self.centre_px)[0]
        pixels[depth < _NEAREST_M] = np.nan
        return pixels, depth

    def likely_px(self, local_m: FloatArray) -> FloatArray:
        """How far (pixels, one standard deviation) each place may lie from its pixel, (N,)."""
        _, slope = projected(self.figures, local_m, self.centre_px)
        slope = slope.reshape(-1, 2, len(self.figures))
        spread = np.einsum("nij,jk,nik->n", slope, self.covariance, slope)
        return np.asarray(np.sqrt(np.maximum(spread, 0.0)))


def seen_from(figures: FloatArray, local_m: FloatArray) -> FloatArray:
    """Places in the camera's own frame: right, down and ahead (metres), shape (N, 3)."""
    turn, _ = cv2.Rodrigues(figures[3:6])
    away = lifted(local_m, figures[:3]) - figures[:3]
    return np.asarray(away @ turn.T)


def lifted(local_m: FloatArray, from_m: FloatArray) -> FloatArray:
    """Places where refraction makes them seem to lie, seen from ``from_m``.

    Notes
    -----
    k d² / 2R higher at the distance d: 0.26 m at 5 km, 26 m at 50 km. The earth's curve itself is
    in the local frame. Source: as `REFRACTION`.
    """
    out = np.array(local_m, np.float64)
    away = out[:, :2] - from_m[:2]
    out[:, 2] += REFRACTION / (2 * EARTH_RADIUS_M) * (away**2).sum(axis=1)
    return out


def projected(figures: FloatArray, local_m: FloatArray,
              centre_px: tuple[float, float]) -> tuple[FloatArray, FloatArray]:
    """Pixels of places, and how they change with the camera's figures.

    Parameters
    ----------
    figures : NDArray of float64, shape (8,)
        As `Camera` has them.
    local_m : NDArray of float64, shape (N, 3)
        The places.
    centre_px : tuple of float
        The principal point.

    Returns
    -------
    pixels : NDArray of float64, shape (N, 2)
    slope : NDArray of float64, shape (2 N, 8)
        Derivatives, two rows a place.

    Notes
    -----
    u = c + f x (1 + k₁ r²) with x the place's direction over its depth. Source: Hartley and
    Zisserman, "Multiple View Geometry", 2nd ed., eq. 6.1 and 7.4, from memory; OpenCV's camera
    model is the same, and a test holds the two against each other.
    """
    turn, turn_slope = cv2.Rodrigues(figures[3:6])
    away = lifted(local_m, figures[:3]) - figures[:3]
    seen = away @ turn.T
    pixels, by_seen, by_log_focal, by_radial = _on_photo(figures, seen, centre_px)
    count = len(local_m)
    seen_slope = np.zeros((count, 3, 6))
    seen_slope[:, :, :3] = -turn
    bend = -REFRACTION / EARTH_RADIUS_M * away[:, :2]  # the lift changes as the camera moves
    seen_slope[:, :, :2] += turn[:, 2][None, :, None] * bend[:, None, :]
    for axis in range(3):
        seen_slope[:, :, 3 + axis] = away @ turn_slope[axis].reshape(3, 3).T
    slope = np.empty((count, 2, 8))
    slope[:, :, :6] = by_seen @ seen_slope
    slope[:, :, 6], slope[:, :, 7] = by_log_focal, by_radial
    return pixels, slope.reshape(-1, 8)


def _on_photo(figures: FloatArray, seen: FloatArray, centre_px: tuple[float, float]
              ) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Pixels of places in the camera's frame, and their slopes."""
    focal, radial = float(np.exp(figures[6])), float(figures[7])
    flat = seen[:, :2] / seen[:, 2:]
    square = (flat**2).sum(axis=1, keepdims=True)
    stretch = 1 + radial * square
    pixels = np.asarray(centre_px) + focal * flat * stretch
    by_flat = focal * (stretch[:, :, None] * np.eye(2)
                       + 2 * radial * flat[:, :, None] * flat[:, None, :])
    by_seen = np.zeros((len(seen), 2, 3))
    by_seen[:, :, :2] = by_flat / seen[:, 2][:, None, None]
    by_seen[:, :, 2] = -(by_flat @ flat[:, :, None])[:, :, 0] / seen[:, 2:]
    return pixels, by_seen, focal * flat * stretch, focal * flat * square
