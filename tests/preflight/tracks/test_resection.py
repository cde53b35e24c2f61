"""The likely error that a fit tells of itself is the one that it makes."""

from __future__ import annotations

import numpy as np

from preflight.tracks.resection import Marks, resect
from tests.made_up_cameras import SIZE_PX, made_up_view


def test_the_likely_error_is_met() -> None:
    made, told = [], []
    for seed in range(12):
        rng = np.random.default_rng(seed)
        view = made_up_view(rng, places=60)
        fit = resect(Marks(local_m=view.landmarks, size_px=SIZE_PX,
                           pixels=view.marks + rng.normal(0, 1.0, view.marks.shape)))
        assert fit is not None
        away = fit.camera.pixels_of(view.places)[0] - view.camera.pixels_of(view.places)[0]
        made.append(np.sqrt((away**2).sum(axis=1).mean()))
        told.append(np.sqrt((fit.camera.likely_px(view.places)**2).mean()))
    assert 0.7 < np.sqrt(np.mean(np.square(made)) / np.mean(np.square(told))) < 1.3
