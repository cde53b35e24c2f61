"""Dots and holes of a patch that were really printed, counted one by one.

Each dot of the film is looked for where it must lie: how much darker is the print there than
between the dots, over the dot's own area? The same is asked of places where the film has nothing;
what they differ by tells whether a picture is fine enough to count at all.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from separations.uses.press_scan.film_spots import FilmSpots

FloatArray = NDArray[np.float64]
Plane = NDArray[np.float32]

#: A dot is there when it darkens by this share of what its film area would; a hole, which ink
#: narrows and through which less light comes back, by the second. Own rules.
_DOT_SHARE, _HOLE_SHARE = 0.3, 0.05
#: It must also stand out from what empty places differ by this many deviations; where these are
#: more than this share of a dot, or of a hole, nothing can be counted. Own rules.
_DEVIATIONS, _DOT_NOISE, _HOLE_NOISE = 3.0, 0.6, 0.2
#: Fewer pixels than this from dot to dot do not keep them apart. Own rule.
_LEAST_PITCH_PX = 5.0
#: What is summed round a dot's middle reaches this far beyond its edge (mm), or to this share of
#: the way to the next.
_BEYOND_MM, _MOST_REACH = 0.07, 0.42
#: Dots are looked for this far from where they should lie (mm) or a share of the way to the next.
_ASIDE_MM, _ASIDE_SHARE = 0.12, 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotCount:
    """How many of a patch's dots or holes were printed.

    Attributes
    ----------
    looked_for, printed : int
        How many the film has there, and how many the print.
    can_be_counted : bool
        Whether the picture is fine and even enough to tell them from nothing.
    """

    looked_for: int
    printed: int
    can_be_counted: bool


def spot_offset_mm(coverage: Plane, per_mm: float, spots: FilmSpots) -> FloatArray:
    """How far dots lie beside their places in the mean (mm, to the right and down).

    Of tones whose dots are printed for certain; `count_spots` takes it for the lighter ones of
    the same row.
    """
    reach = min(_ASIDE_MM, _ASIDE_SHARE * spots.pitch_mm)
    steps = np.linspace(-reach, reach, 13)
    seen = cv2.GaussianBlur(_as_dots(coverage, spots), (0, 0), max(0.03 * per_mm, 0.5))
    sums = np.array([[_at(seen, spots.middles_mm + np.array([over, down]), per_mm).mean()
                      for over in steps] for down in steps])
    row, column = np.unravel_index(int(sums.argmax()), sums.shape)
    # the highest place between steps: a parabola through its neighbours
    found = []
    for place, line in ((int(column), sums[row]), (int(row), sums[:, column])):
        at = steps[place]
        if 0 < place < len(steps) - 1:
            low, high = line[place] - line[place - 1], line[place] - line[place + 1]
            at += 0.5 * (steps[1] - steps[0]) * (low - high) / max(low + high, 1e-9)
        found.append(at)
    return np.array(found)


def count_spots(coverage: Plane, per_mm: float, spots: FilmSpots, offset_mm: FloatArray
                ) -> SpotCount:
    """Count the dots or holes of one patch.

    Parameters
    ----------
    coverage : ndarray, shape (rows, columns), float32
        How dark the patch is, from its upper left corner: 0 as bare wood, 1 as the solid.
    per_mm : float
        Its pixels to a millimetre.
    offset_mm : ndarray, shape (2,), float64
        How far all dots lie beside their places.
    """
    looked_for = len(spots.middles_mm)
    if per_mm * spots.pitch_mm < _LEAST_PITCH_PX:
        return SpotCount(looked_for=looked_for, printed=0, can_be_counted=False)
    middles = spots.middles_mm + offset_mm
    radius = min(np.sqrt(spots.area_mm2 / np.pi) + _BEYOND_MM, _MOST_REACH * spots.pitch_mm)
    flat = _without_ground(_as_dots(coverage, spots), per_mm, spots, middles, float(radius))
    summed = cv2.filter2D(flat, -1, _disc(float(radius) * per_mm),
                          borderType=cv2.BORDER_REPLICATE) / per_mm**2
    of_film = _at(summed, middles, per_mm) / spots.area_mm2
    empty = _at(summed, _empty_mm(flat.shape, per_mm, spots, middles), per_mm) / spots.area_mm2
    noise = 1.4826 * float(np.median(np.abs(empty - np.median(empty)))) if len(empty) else np.inf
    share, most = ((_HOLE_SHARE, _HOLE_NOISE) if spots.are_holes else (_DOT_SHARE, _DOT_NOISE))
    least = max(share, _DEVIATIONS * noise)
    return SpotCount(looked_for=looked_for, printed=int((of_film > least).sum()),
                     can_be_counted=bool(_DEVIATIONS * noise <= most))


def _as_dots(coverage: Plane, spots: FilmSpots) -> Plane:
    return 1.0 - coverage if spots.are_holes else coverage


def _at(plane: Plane, at_mm: FloatArray, per_mm: float) -> FloatArray:
    """A plane's values between pixels."""
    places = (at_mm * per_mm - 0.5).astype(np.float32)
    values = cv2.remap(plane, np.ascontiguousarray(places[:, 0]),
                       np.ascontiguousarray(places[:, 1]), cv2.INTER_LINEAR,
                       borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(values.ravel(), np.float64)


def _from_spots_mm(shape: tuple[int, ...], per_mm: float, middles_mm: FloatArray) -> Plane:
    """How far each pixel lies from the next dot's middle."""
    clear = np.ones(shape, np.uint8)
    columns, rows = np.floor(middles_mm * per_mm).astype(int).T
    inside = (columns >= 0) & (rows >= 0) & (columns < shape[1]) & (rows < shape[0])
    clear[rows[inside], columns[inside]] = 0
    return np.asarray(cv2.distanceTransform(clear, cv2.DIST_L2, 5) / per_mm, np.float32)


def _without_ground(dots: Plane, per_mm: float, spots: FilmSpots, middles_mm: FloatArray,
                    radius_mm: float) -> Plane:
    """Less what lies between the dots, near by: grain and what the light's slope leaves."""
    far = _from_spots_mm(dots.shape, per_mm, middles_mm)
    ground = ((far > min(radius_mm, 0.5 * spots.pitch_mm))
              & (far < 1.5 * spots.pitch_mm)).astype(np.float32)
    blur = 0.6 * spots.pitch_mm * per_mm
    weight = cv2.GaussianBlur(ground, (0, 0), blur)
    level = cv2.GaussianBlur(dots * ground, (0, 0), blur) / np.maximum(weight, 1e-4)
    return np.asarray(dots - level, np.float32)


def _empty_mm(shape: tuple[int, ...], per_mm: float, spots: FilmSpots, middles_mm: FloatArray
              ) -> FloatArray:
    """Places as far from all dots as may be, within the dots' own bounds."""
    far = _from_spots_mm(shape, per_mm, middles_mm)
    wide = 2 * int(0.3 * spots.pitch_mm * per_mm) + 1
    highest = (far == cv2.dilate(far, np.ones((wide, wide), np.uint8))) & (
        far > 0.5 * spots.pitch_mm)
    rows, columns = np.nonzero(highest)
    at = (np.column_stack([columns, rows]) + 0.5) / per_mm
    inside = ((at > middles_mm.min(axis=0)) & (at < middles_mm.max(axis=0))).all(axis=1)
    return np.asarray(at[inside], np.float64)


def _disc(radius_px: float) -> Plane:
    """A disc's pixels, those along its rim in part."""
    reach = int(np.ceil(radius_px))
    y, x = np.mgrid[-reach:reach + 1, -reach:reach + 1]
    return np.asarray(np.clip(radius_px + 0.5 - np.hypot(x, y), 0.0, 1.0), np.float32)
