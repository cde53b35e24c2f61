"""Where a camera stood, its turn and the length of its lens, from landmarks on its photo."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import cv2
import numpy as np
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

from preflight.tracks.camera import Camera, projected, seen_from
from preflight.tracks.track_points import FloatArray

#: From so many landmarks on the lens's radial term is fitted, too.
LANDMARKS_FOR_RADIAL = 8
#: What is known of any lens before: its radial term seldom is larger. Own rule, no source.
_USUAL_RADIAL = 0.1
#: Nobody marks a landmark nearer than this (pixels, one standard deviation). Own rule, no source.
MARKED_PX = 1.0
#: Focal lengths that are tried first, in widths of the photo: lenses of 14 to 300 mm before a
#: frame 36 mm wide.
_FIRST_FOCALS = (0.4, 0.55, 0.75, 1.0, 1.4, 2.0, 3.0, 5.0, 8.0)
#: Starts that are followed to their end.
_FOLLOWED = 3
#: A pencil of directions as narrow as this tells no place. Own rule, no source.
FLAT = 1e-7


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Marks:
    """Landmarks of one photo.

    Attributes
    ----------
    local_m : NDArray of float64, shape (N, 3)
        Where they are: east, north, up (metres).
    pixels : NDArray of float64, shape (N, 2)
        Where they are marked, from the whole photo's left and top edge.
    size_px : tuple of int
        The whole photo's width and height.
    """

    local_m: FloatArray
    pixels: FloatArray
    size_px: tuple[int, int]

    def without(self, place: int) -> Marks:
        """All landmarks but one."""
        return Marks(local_m=np.delete(self.local_m, place, axis=0),
                     pixels=np.delete(self.pixels, place, axis=0), size_px=self.size_px)

    def __len__(self) -> int:
        """How many."""
        return len(self.pixels)

    @property
    def centre_px(self) -> tuple[float, float]:
        """The middle of the photo."""
        return self.size_px[0] / 2, self.size_px[1] / 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CameraStart:
    """What a camera says of itself: where a fit begins, and never more than that.

    Attributes
    ----------
    focal_px : float or None
        Focal length in pixels of the whole photo.
    position_m : NDArray of float64, shape (3,), or None
        East, north, up (metres).
    """

    focal_px: float | None = None
    position_m: FloatArray | None = field(default=None)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Resection:
    """A camera, and how well it agrees with the landmarks.

    Attributes
    ----------
    camera : Camera
        The camera.
    misses_px : NDArray of float64, shape (N, 2)
        Marked less reckoned pixels of each landmark.
    noise_px : float
        Standard deviation of a mark in each direction, from the misses; 0 where none is left over.
    roundness : float
        Least over greatest singular value of the fit, each figure on its own scale: near zero
        where the landmarks leave a figure open.
    """

    camera: Camera
    misses_px: FloatArray
    noise_px: float
    roundness: float

    @property
    def square_sum(self) -> float:
        """Sum of the squares of the misses (pixels²)."""
        return float((self.misses_px**2).sum())


def resect(marks: Marks, start: CameraStart | None = None,
           near: Camera | None = None) -> Resection | None:
    """Find the camera by least squares, from several starts.

    Parameters
    ----------
    marks : Marks
        At least four landmarks.
    start : CameraStart, optional
        Where the camera says it was.
    near : Camera, optional
        A camera that may be near the one sought.

    Returns
    -------
    Resection or None
        None where no camera has all landmarks before it.

    Notes
    -----
    Starts are perspective poses by OpenCV (SQPnP) at several focal lengths; the best are followed
    by SciPy's least squares. The covariance is s² (JᵀJ)⁻¹.
    """
    firsts = [] if near is None else [near.figures]
    posed = sorted(_poses(marks, start or CameraStart()), key=lambda one: one[0])
    firsts += [figures for _, figures in posed[:_FOLLOWED]]
    found = [one for one in (_followed(marks, first) for first in firsts) if one is not None]
    return min(found, key=lambda one: one.square_sum, default=None)


def _poses(marks: Marks, start: CameraStart) -> Iterator[tuple[float, FloatArray]]:
    """First figures, each with the sum of its squared misses."""
    focals = [share * marks.size_px[0] for share in _FIRST_FOCALS]
    if start.focal_px:
        focals.insert(0, start.focal_px)
    middle = marks.local_m.mean(axis=0)
    size = max(float(np.abs(marks.local_m - middle).max()), 1e-6)
    shape = (marks.local_m - middle) / size
    for focal in focals:
        lens = np.array([[focal, 0, marks.centre_px[0]], [0, focal, marks.centre_px[1]], [0, 0, 1]])
        ok, turns, moves, _ = cv2.solvePnPGeneric(shape, marks.pixels, lens, None,
                                                  flags=cv2.SOLVEPNP_SQPNP)
        for turn, move in zip(turns, moves, strict=True) if ok else ():
            matrix, _ = cv2.Rodrigues(turn)
            at = middle - size * (matrix.T @ move).ravel()
            yield from _judged(marks, np.array([*at, *turn.ravel(), np.log(focal), 0.0]))
        if start.position_m is not None:
            ways = marks.local_m - start.position_m
            ways /= np.linalg.norm(ways, axis=1, keepdims=True)
            rays = np.column_stack([(marks.pixels - marks.centre_px) / focal, np.ones(len(marks))])
            rays /= np.linalg.norm(rays, axis=1, keepdims=True)
            fitted, _ = Rotation.align_vectors(rays, ways)
            yield from _judged(marks, np.array([*start.position_m, *fitted.as_rotvec(),
                                                np.log(focal), 0.0]))


def _judged(marks: Marks, figures: FloatArray) -> Iterator[tuple[float, FloatArray]]:
    if np.isfinite(figures).all() and (seen_from(figures, marks.local_m)[:, 2] > 0).all():
        pixels, _ = projected(figures, marks.local_m, marks.centre_px)
        yield float(((pixels - marks.pixels) ** 2).sum()), figures


def _followed(marks: Marks, first: FloatArray) -> Resection | None:
    count = 8 if len(marks) >= LANDMARKS_FOR_RADIAL else 7
    fixed = np.array(first)
    fixed[count:] = 0.0
    # With few landmarks a radial term follows chance: it is held near zero like a ninth mark.
    holds = np.zeros((count - 7, count))
    holds[:, 7:] = MARKED_PX / _USUAL_RADIAL

    def figures_of(free: FloatArray) -> FloatArray:
        return np.concatenate([free, fixed[count:]])

    def misses(free: FloatArray) -> FloatArray:
        pixels, _ = projected(figures_of(free), marks.local_m, marks.centre_px)
        return np.concatenate([(pixels - marks.pixels).ravel(), holds @ free])

    def slope(free: FloatArray) -> FloatArray:
        _, jacobian = projected(figures_of(free), marks.local_m, marks.centre_px)
        return np.vstack([jacobian[:, :count], holds])

    with np.errstate(all="ignore"):
        try:
            fit = least_squares(misses, fixed[:count], jac=slope, method="lm", x_scale="jac",
                                max_nfev=200)
        except (ValueError, np.linalg.LinAlgError):  # it ran off to where nothing is finite
            return None
    figures = figures_of(fit.x)
    if not np.isfinite(fit.cost) or (seen_from(figures, marks.local_m)[:, 2] <= 0).any():
        return None
    left = -fit.fun[:2 * len(marks)].reshape(-1, 2)
    spare = 2 * len(marks) + len(holds) - count
    noise = float(np.sqrt(2 * fit.cost / spare)) if spare > 0 else 0.0
    jacobian = np.asarray(fit.jac, np.float64)
    scale = np.linalg.norm(jacobian, axis=0)
    scale[scale == 0] = 1.0
    _, singular, ways = np.linalg.svd(jacobian / scale, full_matrices=False)
    roundness = float(singular[-1] / singular[0])
    safe = np.maximum(singular, singular[0] * 1e-12)
    inverse = (ways.T / safe**2) @ ways / np.outer(scale, scale)
    covariance = np.zeros((8, 8))
    covariance[:count, :count] = inverse * max(noise, MARKED_PX) ** 2
    return Resection(
        camera=Camera(figures=figures, centre_px=marks.centre_px, covariance=covariance),
        misses_px=left, noise_px=noise, roundness=roundness)
