"""The camera against a textbook's.

Source: Hartley and Zisserman, "Multiple View Geometry in Computer Vision", 2nd edition, example
6.2: a camera matrix, and the centre, turn and calibration in it.
"""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from preflight.tracks.camera import projected
from preflight.tracks.resection import Marks, resect

MATRIX = np.array([[3.53553e2, 3.39645e2, 2.77744e2, -1.44946e6],
                   [-1.03528e2, 2.33212e1, 4.59607e2, -6.32525e5],
                   [7.07107e-1, -3.53553e-1, 6.12372e-1, -9.18559e2]])
CALIBRATION = np.array([[468.2, 91.2, 300.0], [0, 427.2, 200.0], [0, 0, 1]])
TURN = np.array([[0.41380, 0.90915, 0.04708], [-0.57338, 0.22011, 0.78917],
                 [0.70711, -0.35355, 0.61237]])
CENTRE = np.array([1000.0, 2000.0, 1500.0])
FOCAL, MIDDLE = 500.0, (300.0, 200.0)


def seen() -> tuple[np.ndarray, np.ndarray]:
    """Places before the camera, and the book's pixels, without skew and for a square pixel."""
    rng = np.random.default_rng(62)
    ahead = np.column_stack([rng.uniform(-0.5, 0.5, (9, 2)), np.ones(9)])
    places = CENTRE + (ahead * rng.uniform(50, 400, (9, 1))) @ TURN
    book = np.column_stack([places, np.ones(9)]) @ MATRIX.T
    rays = np.linalg.solve(CALIBRATION, (book / book[:, 2:]).T).T
    return places, FOCAL * rays[:, :2] + MIDDLE


def test_places_fall_where_the_book_has_them() -> None:
    places, pixels = seen()
    turn, _ = cv2.Rodrigues(TURN)
    figures = np.array([*CENTRE, *turn.ravel(), np.log(FOCAL), 0.0])
    assert projected(figures, places, MIDDLE)[0] == pytest.approx(pixels, abs=0.15)


def test_the_centre_is_found_again() -> None:
    places, pixels = seen()
    fit = resect(Marks(local_m=places, pixels=pixels, size_px=(600, 400)))
    assert fit is not None
    assert fit.camera.position_m == pytest.approx(CENTRE, abs=0.5)
    assert np.exp(fit.camera.figures[6]) == pytest.approx(FOCAL, rel=0.003)
    assert cv2.Rodrigues(fit.camera.figures[3:6])[0] == pytest.approx(TURN, abs=0.002)
