"""Landmarks to a camera: exact ones, noisy ones, one wrong, and such as tell no camera."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.input_problem import InputProblem
from preflight.tracks.judged_landmarks import judged_camera
from preflight.tracks.resection import CameraStart, Marks
from tests.made_up_cameras import SIZE_PX, MadeUpView, made_up_view


def marks_of(view: MadeUpView, noise_px: float = 0.0, seed: int = 0) -> Marks:
    rng = np.random.default_rng(seed)
    return Marks(local_m=view.landmarks, size_px=SIZE_PX,
                 pixels=view.marks + rng.normal(0, noise_px, view.marks.shape))


@pytest.mark.parametrize("count", [5, 7, 8, 12])
def test_exact_marks_give_the_camera_back(count: int) -> None:
    view = made_up_view(np.random.default_rng(count), landmarks=count, places=40)
    radial_fitted = count >= 8
    if not radial_fitted:
        view.camera.figures[7] = 0.0
    found = judged_camera(marks_of(view), where="job")
    assert found.wrong is None
    away = found.camera.pixels_of(view.places)[0] - view.camera.pixels_of(view.places)[0]
    assert np.abs(away).max() < (0.5 if radial_fitted else 1e-3)  # k1 is held near 0 a little


@pytest.mark.parametrize("count", [6, 9, 12])
def test_one_landmark_200_m_wrong_is_named(count: int) -> None:
    for seed in range(4):
        rng = np.random.default_rng(100 * count + seed)
        view = made_up_view(rng, landmarks=count, places=0)
        bad, way = int(rng.integers(count)), rng.uniform(0, 2 * np.pi)
        marks = marks_of(view, 1.0, seed)
        marks.local_m[bad] += 200 * np.array([np.sin(way), np.cos(way), 0])
        found = judged_camera(marks, where="job")
        assert found.wrong == bad
        assert bad not in found.kept
        assert found.wrong_by_px > 5


def test_sound_landmarks_are_all_kept() -> None:
    for seed in range(6):
        view = made_up_view(np.random.default_rng(seed), landmarks=9, places=0)
        assert judged_camera(marks_of(view, 1.0, seed), where="job").wrong is None


def test_of_five_landmarks_none_can_be_named() -> None:
    view = made_up_view(np.random.default_rng(2), landmarks=5, places=0)
    marks = marks_of(view)
    marks.local_m[3] += [0, 0, 900]
    with pytest.raises(InputProblem) as fault:
        judged_camera(marks, where="job.toml: landmark")
    assert "contradict each other" in fault.value.sentence
    assert "6 landmarks or more, of which one that is wrong can be told" in fault.value.sentence


def test_landmarks_in_a_line_are_refused() -> None:
    view = made_up_view(np.random.default_rng(2), places=0)
    first, last = view.landmarks[:2]
    line = first + np.linspace(0, 1, 8)[:, None] * (last - first)
    marks = Marks(local_m=line, pixels=view.camera.pixels_of(line)[0], size_px=SIZE_PX)
    with pytest.raises(InputProblem, match="landmarks that lie in one line"):
        judged_camera(marks, where="job")


def test_landmarks_that_are_mixed_up_are_refused() -> None:
    view = made_up_view(np.random.default_rng(8), landmarks=8, places=0)
    marks = Marks(local_m=view.landmarks[::-1].copy(), pixels=view.marks, size_px=SIZE_PX)
    with pytest.raises(InputProblem, match=r"contradict each other|no camera could see like this"):
        judged_camera(marks, where="job")


def test_what_the_camera_says_is_a_start_and_no_more() -> None:
    view = made_up_view(np.random.default_rng(9), landmarks=8, places=20)
    plain = judged_camera(marks_of(view, 1.0), where="job")
    for start in (CameraStart(focal_px=300.0), CameraStart(
            focal_px=9e4, position_m=np.array([4000.0, -900, 20]))):
        found = judged_camera(marks_of(view, 1.0), start, where="job")
        assert found.camera.pixels_of(view.places)[0] == pytest.approx(
            plain.camera.pixels_of(view.places)[0], abs=0.01)
