"""How far two inks lie apart at each register mark of a picture.

Both inks' squares are looked at in one colour of light, the one in which the fainter of them
shows best, so that a scanner's colours that miss each other have no part in it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from separations.uses.calibration.register_marks import (
    APART_MM,
    SQUARE_MM,
    RegisterMark,
    register_marks,
    squares_mm,
)
from separations.uses.calibration.sheet_marks import MARK_MM
from separations.uses.calibration.wedge_films import WedgeSheet
from separations.uses.press_scan.patch_surroundings import Surroundings
from separations.uses.press_scan.scan_picture import ScanPicture
from separations.uses.press_scan.sheet_place import SheetPlace

FloatArray = NDArray[np.float64]
Plane = NDArray[np.float32]

#: What is looked at round a mark (mm): lettering and patches stay outside.
AROUND_MM = 0.8
_WHOLE_MM = MARK_MM + 2 * AROUND_MM
#: A square's middle, in which it is found though it lies elsewhere by so much (mm).
_MIDDLE_MM = 0.35
#: Wood that lies this far from each square where they ought to be (mm).
_WOOD_FROM_MM = 0.45
#: Of it, what lies further from a plane than this many deviations is lettering or dust.
_MOST_OFF = 3.0
#: An ink that changes the wood's light by less than this, or than so many deviations of the
#: wood's own grain, is not found. Own rules.
_LEAST_CHANGE, _LEAST_OF_GRAIN = 0.06, 2.5
#: A square's own size may differ by this (share of it), for ink spreads. Own rule.
_LEAST_SIZE, _MOST_SIZE = 0.75, 1.45
#: Squares of one ink lie as far apart as on the film, within this (mm).
_MOST_BENT_MM = 0.12
_MOST_PIXELS_PER_MM = 24.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MarkShift:
    """One register mark as printed.

    Attributes
    ----------
    ink : int
        The ink that it holds to the first.
    at_mm, shift_mm : ndarray, shape (2,), float64
        Its middle on the sheet, and how far that ink lies beside the first, to the right and
        down.
    corners_px : ndarray, shape (4, 2), float64
        Where it lies in the picture.
    """

    ink: int
    at_mm: FloatArray
    shift_mm: FloatArray
    corners_px: FloatArray


def read_register_marks(picture: ScanPicture, place: SheetPlace, laid: WedgeSheet
                        ) -> Iterator[MarkShift]:
    """Read the register marks that can be read; sheets printed without them have none."""
    for mark in register_marks(laid.patches):
        if not place.columns_of(mark.row):
            continue
        around = _around(mark, place, laid)
        if not around.is_within(*picture.levels.shape[:2]):
            continue
        per_mm = min(around.pixels_per_mm, _MOST_PIXELS_PER_MM)
        shift = mark_shift(around.flattened(picture.linear(*around.part), per_mm))
        if shift is not None:
            yield MarkShift(ink=mark.ink, at_mm=_middle_mm(mark, laid), shift_mm=shift,
                            corners_px=around.patch_px)


def mark_shift(light: Plane) -> FloatArray | None:
    """How far the other ink's squares lie beside the first ink's (mm, to the right and down).

    Parameters
    ----------
    light : ndarray, shape (rows, columns, 3), float32
        Linear light of the mark and `AROUND_MM` round it.

    Returns
    -------
    ndarray, shape (2,), float64, or None
        None where an ink's squares were not found for certain.
    """
    per_mm = light.shape[1] / _WHOLE_MM
    places = [np.array(square) + AROUND_MM for first in (True, False)
              for square in squares_mm(first_ink=first)]
    wood = _wood(light.shape[:2], places, per_mm)
    changes, grain = [], []
    for channel in range(3):
        level, is_bare = _level(light[:, :, channel], wood)
        over = light[:, :, channel] / level
        changes.append(1.0 - over)
        grain.append(float(np.std(over[is_bare])))
    shows = np.array([[float(np.median(_middle(change, at, per_mm))) for at in places]
                      for change in changes])
    best = int(np.argmax(np.abs(shows).min(axis=1) / np.maximum(grain, 1e-6)))
    if np.abs(shows[best]).min() < max(_LEAST_CHANGE, _LEAST_OF_GRAIN * grain[best]):
        return None
    middles = [_square_middle(changes[best] / change, at, per_mm)
               for at, change in zip(places, shows[best], strict=True)]
    found = [middle for middle in middles if middle is not None]
    if len(found) < len(places):
        return None
    off = np.array(found) - np.array(places) - SQUARE_MM / 2
    if max(np.abs(off[0] - off[1]).max(), np.abs(off[2] - off[3]).max()) > _MOST_BENT_MM:
        return None
    return np.asarray(off[2:].mean(axis=0) - off[:2].mean(axis=0), np.float64)


def _around(mark: RegisterMark, place: SheetPlace, laid: WedgeSheet) -> Surroundings:
    left, top = laid.mark_mm(mark.row, mark.column)
    square = MARK_MM * np.array([[0, 0], [1, 0], [1, 1], [0, 1]], float)
    whole = _WHOLE_MM / MARK_MM * square
    return Surroundings(
        patch_px=place.pixels_of_sheet(square + np.array([left, top])),
        whole_px=place.pixels_of_sheet(whole + np.array([left, top]) - AROUND_MM),
        pixels_per_mm=place.pixels_per_mm(_middle_mm(mark, laid)),
        size_mm=(_WHOLE_MM, _WHOLE_MM))


def _middle_mm(mark: RegisterMark, laid: WedgeSheet) -> FloatArray:
    return np.add(laid.mark_mm(mark.row, mark.column), SQUARE_MM + APART_MM / 2)


def _wood(shape: tuple[int, ...], places: list[FloatArray], per_mm: float) -> NDArray[np.bool_]:
    """Pixels far enough from all squares."""
    wood = np.ones(shape, np.bool_)
    for at in places:
        first = np.maximum(np.rint((at - _WOOD_FROM_MM) * per_mm).astype(int), 0)
        end = np.rint((at + SQUARE_MM + _WOOD_FROM_MM) * per_mm).astype(int)
        wood[first[1]:end[1], first[0]:end[0]] = False
    return wood


def _level(light: Plane, wood: NDArray[np.bool_]) -> tuple[Plane, NDArray[np.bool_]]:
    """The wood's light everywhere, as a plane through what is bare, and what that is."""
    y, x = np.mgrid[0:light.shape[0], 0:light.shape[1]]
    is_bare = wood & (np.abs(light - np.median(light[wood])) < 0.5 * np.median(light[wood]))
    for _ in range(2):
        terms = np.stack([np.ones(int(is_bare.sum())), y[is_bare], x[is_bare]], axis=1)
        fitted, *_ = np.linalg.lstsq(terms, light[is_bare].astype(np.float64), rcond=None)
        level = np.maximum(fitted[0] + fitted[1] * y + fitted[2] * x, 1e-4)
        off = light - level
        is_bare = wood & (np.abs(off) <= _MOST_OFF * 1.4826 * np.median(np.abs(off[is_bare])))
    return np.asarray(level, np.float32), is_bare


def _middle(change: Plane, at: FloatArray, per_mm: float) -> Plane:
    first = np.rint((at + SQUARE_MM / 2 - _MIDDLE_MM) * per_mm).astype(int)
    end = np.rint((at + SQUARE_MM / 2 + _MIDDLE_MM) * per_mm).astype(int)
    return change[first[1]:end[1], first[0]:end[0]]


def _square_middle(change: Plane, at: FloatArray, per_mm: float) -> FloatArray | None:
    """Middle (mm) of the square that covers a place; None where it is no square of that size.

    By the edges: along each, where the change is a half.
    """
    _, labels = cv2.connectedComponents((change > 0.5).astype(np.uint8), connectivity=4)
    column, row = np.rint((at + SQUARE_MM / 2) * per_mm).astype(int)
    inside = labels == labels[row, column]
    if change[row, column] <= 0.5:
        return None
    rows, columns = np.nonzero(inside)
    wide, high = np.ptp(columns) + 1, np.ptp(rows) + 1
    side = SQUARE_MM * per_mm
    if not all(_LEAST_SIZE * side < size < _MOST_SIZE * side for size in (wide, high)):
        return None
    reach = max(2, round(0.25 * per_mm))
    box = np.s_[max(rows.min() - reach, 0):rows.max() + reach + 1,
                max(columns.min() - reach, 0):columns.max() + reach + 1]
    own = inside[box].astype(np.uint8)
    near = cv2.dilate(own, np.ones((2 * reach + 1, 2 * reach + 1), np.uint8)) > 0
    others = cv2.dilate(((labels[box] > 0) & (own == 0)).astype(np.uint8),
                        np.ones((2 * reach + 1, 2 * reach + 1), np.uint8)) > 0
    weight = np.clip(change[box], 0.0, 1.0) * (near & ~(others & (own == 0)))
    total = float(weight.sum())
    y, x = np.mgrid[0:weight.shape[0], 0:weight.shape[1]]
    middle = np.array([float((weight * x).sum()) / total + box[1].start,
                       float((weight * y).sum()) / total + box[0].start])
    return np.asarray((middle + 0.5) / per_mm)
