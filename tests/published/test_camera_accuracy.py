"""How true tracks lie on a photo whose landmarks are marked with a pixel of noise.

Cameras and ground are made up; what is asked is 0.3 mm on a board of 1.6 m under a photo of 6,000
pixels, for places within the hull of 12 landmarks, in 95 of 100 cameras.
"""

from __future__ import annotations

import numpy as np
from scipy.spatial import ConvexHull

from preflight.tracks.resection import Marks, resect
from tests.made_up_cameras import SIZE_PX, made_up_view

MM_PER_PX = 1600 / SIZE_PX[0]


def errors_mm(cameras: int) -> list[float]:
    """Root mean square error on the board of places within the landmarks' hull, per camera."""
    found = []
    for seed in range(cameras):
        rng = np.random.default_rng(seed)
        view = made_up_view(rng)
        sides = ConvexHull(view.landmarks).equations
        within = (view.places @ sides[:, :3].T + sides[:, 3] <= 0).all(axis=1)
        fit = resect(Marks(local_m=view.landmarks, size_px=SIZE_PX,
                           pixels=view.marks + rng.normal(0, 1.0, view.marks.shape)))
        assert fit is not None
        places = view.places[within]
        away = fit.camera.pixels_of(places)[0] - view.camera.pixels_of(places)[0]
        found.append(float(np.sqrt((away**2).sum(axis=1).mean()) * MM_PER_PX))
    return found


def test_tracks_lie_within_a_third_of_a_millimetre() -> None:
    """200 cameras: median 0.16, 95 % below 0.28, the worst 0.41 mm when this was written."""
    errors = errors_mm(200)
    assert np.mean(np.array(errors) <= 0.3) >= 0.95
