"""A camera from landmarks of which one may be wrong: it is named, or all are refused."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from preflight.input_problem import InputProblem
from preflight.tracks.camera import Camera, projected
from preflight.tracks.resection import FLAT, MARKED_PX, CameraStart, Marks, Resection, resect

#: Misses of more than this, in pixels or as a share of the photo's width, are no marks by hand.
#: Own rule, no source: 12 pixels of 6,000.
_GREATEST_PX, _GREATEST_SHARE = 6.0, 0.002
#: Landmarks that are looked at one by one once the rest misses by more than this (pixels).
_DOUBTFUL_PX = 2.0 * MARKED_PX
#: One landmark is wrong only where leaving it out explains this much more than leaving out any
#: other: so many times less is missed in squares. Own rule, no source.
_CLEARLY = 4.0
#: A landmark disagrees where chance alone would make it miss so far once in a million.
_ONCE_IN = 1e-6
#: With fewer landmarks one wrong can be seen, but not told from the others.
_LEAST_TO_NAME = 6
#: Landmarks along one line on the photo: their spread across it, as a share of that along it.
_IN_LINE = 0.01
_BETTER = ("landmarks that are spread: left and right, high and low, near and far,")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class JudgedCamera:
    """A camera, the landmarks that it rests on, and the one that was left out.

    Attributes
    ----------
    resection : Resection
        The camera and what its landmarks miss by.
    kept : tuple of int
        Places of the landmarks that it rests on, from 0.
    wrong : int or None
        The place of the landmark that disagrees with all others.
    wrong_by_px : float
        How far it lies from where the camera would see it (pixels).
    """

    resection: Resection
    kept: tuple[int, ...]
    wrong: int | None = None
    wrong_by_px: float = 0.0

    @property
    def camera(self) -> Camera:
        """The camera."""
        return self.resection.camera

    @property
    def worst(self) -> tuple[int, float]:
        """The landmark of those kept that misses most, and by how much (pixels)."""
        missed = np.hypot(*self.resection.misses_px.T)
        return self.kept[int(np.argmax(missed))], float(missed.max())


def judged_camera(marks: Marks, start: CameraStart | None = None, *, where: str) -> JudgedCamera:
    """Find the camera, and the landmark that disagrees with the others if there is one.

    Parameters
    ----------
    marks : Marks
        Four landmarks or more.
    start : CameraStart, optional
        What the photo says of its camera.
    where : str
        What an `InputProblem` names.

    Raises
    ------
    InputProblem
        When the landmarks lie too flat to tell a camera, or contradict each other.
    """
    _check_spread(marks, where)
    whole = resect(marks, start)
    greatest = max(_GREATEST_PX, _GREATEST_SHARE * marks.size_px[0])
    if whole is not None and whole.noise_px <= _DOUBTFUL_PX:
        return _sound(JudgedCamera(resection=whole, kept=tuple(range(len(marks)))), where)
    one_out = _one_out(marks, start, whole) if len(marks) >= _LEAST_TO_NAME else None
    if one_out is not None:
        return _sound(one_out, where)
    if whole is not None and whole.noise_px <= greatest:
        return _sound(JudgedCamera(resection=whole, kept=tuple(range(len(marks)))), where)
    if whole is None:
        raise InputProblem(where=where, found="landmarks that no camera could see like this",
                           would_do="landmarks whose marks and places belong together")
    missed = np.hypot(*whole.misses_px.T)
    order = np.argsort(-missed)
    would_do = ("marks and places that belong together" if len(marks) >= _LEAST_TO_NAME else
                f"{_LEAST_TO_NAME} landmarks or more, of which one that is wrong can be told,")
    raise InputProblem(
        where=where, found=f"landmarks that contradict each other (landmark {order[0] + 1} misses "
        f"by {missed[order[0]]:.0f} pixels, landmark {order[1] + 1} by {missed[order[1]]:.0f})",
        would_do=would_do)


def _one_out(marks: Marks, start: CameraStart | None, whole: Resection | None
             ) -> JudgedCamera | None:
    """The camera without the one landmark that clearly disagrees with all others."""
    fits = [resect(marks.without(place), start, near=whole.camera if whole else None)
            for place in range(len(marks))]
    floor = len(marks) * MARKED_PX**2
    left = [np.inf if fit is None else fit.square_sum + floor for fit in fits]
    first, second = np.argsort(left)[:2]
    best = fits[first]
    if best is None or left[second] < _CLEARLY * left[first]:
        return None
    pixels, slope = projected(best.camera.figures, marks.local_m[first:first + 1],
                              marks.centre_px)
    miss = marks.pixels[first] - pixels[0]
    noise = max(best.noise_px, MARKED_PX)
    spread = noise**2 * np.eye(2) + slope @ best.camera.covariance @ slope.T
    # Two coordinates: beyond x the chi-square of two degrees has exp(-x / 2).
    if miss @ np.linalg.solve(spread, miss) < -2.0 * math.log(_ONCE_IN):
        return None
    if best.noise_px > max(_GREATEST_PX, _GREATEST_SHARE * marks.size_px[0]):
        return None
    return JudgedCamera(
        resection=best, kept=tuple(p for p in range(len(marks)) if p != first), wrong=int(first),
        wrong_by_px=float(np.hypot(*miss)))


def _check_spread(marks: Marks, where: str) -> None:
    centred = marks.local_m - marks.local_m.mean(axis=0)
    _, across, *_ = np.linalg.svd(centred, compute_uv=False)
    along = float(np.linalg.norm(centred))
    on_photo = np.linalg.svd(marks.pixels - marks.pixels.mean(axis=0), compute_uv=False)
    if along == 0 or across < _IN_LINE * along or on_photo[1] < _IN_LINE * on_photo[0]:
        raise InputProblem(where=where, found="landmarks that lie in one line", would_do=_BETTER)


def _sound(judged: JudgedCamera, where: str) -> JudgedCamera:
    if judged.resection.roundness < FLAT:
        raise InputProblem(
            where=where, found="landmarks that lie too flat to tell where the camera stood",
            would_do=_BETTER)
    return judged
