"""Where a camera sees places: its slopes, its lens and the bend of light."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from preflight.tracks.camera import EARTH_RADIUS_M, lifted, projected, seen_from
from tests.made_up_cameras import made_up_view


def test_slopes_are_those_of_small_steps() -> None:
    view = made_up_view(np.random.default_rng(4), places=0)
    figures, centre = view.camera.figures, view.camera.centre_px
    _, slope = projected(figures, view.landmarks, centre)
    for place in range(8):
        step = np.zeros(8)
        step[place] = 1e-4 if place < 3 else 1e-7
        more = projected(figures + step, view.landmarks, centre)[0]
        less = projected(figures - step, view.landmarks, centre)[0]
        told = ((more - less) / (2 * step[place])).ravel()
        assert slope[:, place] == pytest.approx(told, abs=1e-6 * np.abs(slope[:, place]).max())


def test_pixels_are_those_of_opencv() -> None:
    view = made_up_view(np.random.default_rng(5), places=0)
    figures, centre = view.camera.figures, view.camera.centre_px
    focal = float(np.exp(figures[6]))
    lens = np.array([[focal, 0, centre[0]], [0, focal, centre[1]], [0, 0, 1]])
    turn, _ = cv2.Rodrigues(figures[3:6])
    told, _ = cv2.projectPoints(lifted(view.landmarks, figures[:3]), figures[3:6],
                                -turn @ figures[:3], lens, np.array([figures[7], 0, 0, 0]))
    assert projected(figures, view.landmarks, centre)[0] == pytest.approx(
        told.reshape(-1, 2), abs=1e-6)


def test_light_bends_by_a_quarter_metre_at_5_km_and_26_at_50() -> None:
    places = np.array([[5000.0, 0, 0], [0, 50_000.0, 0]])
    rise = lifted(places, np.zeros(3))[:, 2]
    assert rise == pytest.approx([0.13 * 25e6 / 2 / EARTH_RADIUS_M, 25.5], abs=0.03)


def test_a_place_behind_the_camera_has_no_pixel() -> None:
    view = made_up_view(np.random.default_rng(6), places=0)
    behind = 2 * view.camera.position_m - view.landmarks
    pixels, depth = view.camera.pixels_of(behind)
    assert np.isnan(pixels).all()
    assert (depth < 0).all()
    assert (seen_from(view.camera.figures, view.landmarks)[:, 2] > 0).all()
