"""Cameras over made-up ground, with landmarks and track points that they see."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.tracks.camera import Camera

Array = NDArray[np.float64]
SIZE_PX = (6000, 2000)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MadeUpView:
    """A true camera, landmarks, and places between them: local metres, shapes (N, 3)."""

    camera: Camera
    landmarks: Array
    places: Array

    @property
    def marks(self) -> Array:
        """Where the landmarks truly fall on the photo."""
        return self.camera.pixels_of(self.landmarks)[0]


def made_up_view(rng: np.random.Generator, landmarks: int = 12, places: int = 150) -> MadeUpView:
    """A camera 20 to 300 m up, nearly level, before ground 0.4 to 8 km away."""
    at = np.array([*rng.uniform(-500, 500, 2), rng.uniform(20, 300)])
    bearing, focal = rng.uniform(0, 2 * np.pi), rng.uniform(0.7, 2.5) * SIZE_PX[0]
    ahead = np.array([np.sin(bearing), np.cos(bearing), -0.05])
    ahead /= np.linalg.norm(ahead)
    right = np.cross(ahead, [0.0, 0.0, 1.0])
    right /= np.linalg.norm(right)
    level = np.array([right, np.cross(ahead, right), ahead])
    roll, _ = cv2.Rodrigues(np.array([0.0, 0.0, rng.normal(0, 0.03)]))
    turn, _ = cv2.Rodrigues(roll @ level)
    camera = Camera(
        figures=np.array([*at, *turn.ravel(), np.log(focal), rng.normal(0, 0.03)]),
        centre_px=(SIZE_PX[0] / 2, SIZE_PX[1] / 2), covariance=np.zeros((8, 8)))
    seen = np.empty((0, 3))
    while len(seen) < landmarks + places:
        far = np.exp(rng.uniform(np.log(400), np.log(8000), 2000))
        way = bearing + rng.uniform(-0.9, 0.9, 2000)
        tried = np.column_stack([at[0] + far * np.sin(way), at[1] + far * np.cos(way),
                                 rng.uniform(0, 0.18 * far)])
        pixels, depth = camera.pixels_of(tried)
        inside = (pixels > 50).all(axis=1) & (pixels < np.array(SIZE_PX) - 50).all(axis=1)
        seen = np.vstack([seen, tried[inside & (depth > 0)]])
    return MadeUpView(camera=camera, landmarks=seen[:landmarks],
                      places=seen[landmarks:landmarks + places])
