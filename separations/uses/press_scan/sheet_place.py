"""Where the sheet lies in a picture, from the marks that were found in it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from separations.uses.calibration.sheet_marks import (
    MARK_MM,
    SheetNumber,
    figure_told,
    number_column,
    place_told,
)
from separations.uses.calibration.wedge_films import WedgeSheet
from separations.uses.press_scan.mark_finder import FoundMark

FloatArray = NDArray[np.float64]

#: A mark further than this from where the others say it is (mm) has no part. Inks lie out of
#: register by less. Own rule.
_MOST_OFF_MM = 1.5
#: A mark that tells a figure of the number belongs to a row when it lies within this of its place.
_NEAR_MM = 3.0
LEAST_PLACE_MARKS = 5
_LEAST_ROWS = 2
#: From this many marks on, the sheet may be bent.
_LEAST_TO_BEND = 16
#: How strongly a bend is kept small, in marks that would lie on the flat sheet.
_FLAT_WEIGHT = 0.05
#: Two marks of a row tell where its ink lies, and must agree on it within this (mm).
_LEAST_OF_ROW = 2
_MOST_SPREAD_MM = 0.35


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SheetPlace:
    """Where the sheet lies.

    Attributes
    ----------
    to_pixels : ndarray, shape (3, 3), float64
        Homography from the flat sheet (mm to the right and down) to pixels.
    bend : ndarray, shape (7, 2), float64
        How far the sheet's points lie beside the flat one (mm), by the terms of `_bend_terms`.
    middle_mm, half_mm : ndarray, shape (2,), float64
        Middle of the marks that were found, and how far they reach from it.
    rows : dict of int to ndarray
        Rows whose marks were found, and how far (mm) their ink lies beside the rest.
    marks : tuple of (FoundMark, row, column)
        Marks that have a part in it, with their places.
    """

    to_pixels: FloatArray
    bend: FloatArray
    middle_mm: FloatArray
    half_mm: FloatArray
    rows: dict[int, FloatArray]
    marks: tuple[tuple[FoundMark, int, int], ...]

    def pixels(self, points_mm: FloatArray, row: int) -> FloatArray:
        """Columns and rows of the picture, shape (N, 2), of points on the sheet by a row's ink."""
        return self.pixels_of_sheet(points_mm, self.rows.get(row, np.zeros(2)))

    def pixels_of_sheet(self, points_mm: FloatArray, moved_mm: FloatArray | float = 0.0
                        ) -> FloatArray:
        """The same of points where all inks' marks together say that they lie."""
        return _mapped(self.to_pixels,
                       points_mm + moved_mm + self._terms(points_mm) @ self.bend)

    def _terms(self, points_mm: FloatArray) -> FloatArray:
        return _bend_terms(points_mm, self.middle_mm, self.half_mm)

    def columns_of(self, row: int) -> tuple[int, ...]:
        """Above which columns a row's marks were found."""
        return tuple(sorted(column for _, at, column in self.marks if at == row))

    def pixels_per_mm(self, point_mm: FloatArray) -> float:
        """How many pixels are a millimetre there, along the shorter side."""
        around = _mapped(self.to_pixels, point_mm + np.array([[0, 0], [1, 0], [0, 1]], float))
        return float(np.linalg.norm(around[1:] - around[0], axis=1).min())


def place_sheet(found: Sequence[FoundMark], laid: WedgeSheet) -> SheetPlace | None:
    """Fit the sheet to its marks; None where they are too few or do not belong together."""
    rows = 1 + max(patch.row for patch in laid.patches)
    placed = [(mark, *at) for mark in found if (at := place_told(mark.code)) and at[0] < rows]
    if len(placed) < LEAST_PLACE_MARKS or len({row for _, row, _ in placed}) < _LEAST_ROWS:
        return None
    placed = [at for at, count in _once_each(placed) if count == 1]
    for _ in range(2):
        to_pixels = _homography(placed, laid)
        if to_pixels is None:
            return None
        off = _off_mm(to_pixels, placed, laid)
        placed = [at for at, one in zip(placed, off, strict=True)
                  if np.linalg.norm(one) < _MOST_OFF_MM]
        if (len(placed) < LEAST_PLACE_MARKS or len({row for _, row, _ in placed}) < _LEAST_ROWS):
            return None
        if all(place_told(mark.code) for mark, _, _ in placed):
            placed += list(_number_marks(found, to_pixels, laid, rows))
    to_pixels = _homography(placed, laid)
    return None if to_pixels is None else _bent(to_pixels, placed, laid)


def number_told(place: SheetPlace) -> SheetNumber | None:
    """The sheet's number by its marks; None where one of its figures is not told for certain."""
    told: list[Counter[int]] = [Counter() for _ in range(4)]
    for mark, _, _ in place.marks:
        if place_told(mark.code) is None:
            figure, value = figure_told(mark.code)
            told[figure][value] += 1
    figures = []
    for counted in told:
        first = counted.most_common(2)
        if not first or first[0][1] < 2 or (len(first) > 1 and first[1][1] * 3 > first[0][1]):
            return None
        figures.append(first[0][0])
    one, two, three, four = figures
    return SheetNumber((one, two, three, four))


def _once_each(placed: list[tuple[FoundMark, int, int]]
               ) -> Iterator[tuple[tuple[FoundMark, int, int], int]]:
    """Each with how often its code was found: no sheet has a place twice."""
    counted = Counter(mark.code for mark, _, _ in placed)
    return ((at, counted[at[0].code]) for at in placed)


def _number_marks(found: Sequence[FoundMark], to_pixels: FloatArray, laid: WedgeSheet, rows: int
                  ) -> Iterator[tuple[FoundMark, int, int]]:
    """Marks of the number, with the row that they lie nearest to."""
    to_sheet: FloatArray = np.linalg.inv(to_pixels).astype(np.float64)
    for mark in found:
        if place_told(mark.code):
            continue
        figure, _ = figure_told(mark.code)
        at = _mapped(to_sheet, mark.corners_px).mean(axis=0)
        for row in range(rows):
            column = number_column(row, figure)
            middle = np.add(laid.mark_mm(row, column), MARK_MM / 2)
            if np.linalg.norm(middle - at) < _NEAR_MM:
                yield mark, row, column


def _corners_mm(row: int, column: int, laid: WedgeSheet) -> FloatArray:
    return np.array(laid.mark_mm(row, column)) + MARK_MM * np.array(
        [[0, 0], [1, 0], [1, 1], [0, 1]], float)


def _homography(placed: Sequence[tuple[FoundMark, int, int]], laid: WedgeSheet
                ) -> FloatArray | None:
    flat = np.concatenate([_corners_mm(row, column, laid) for _, row, column in placed])
    seen = np.concatenate([mark.corners_px for mark, _, _ in placed])
    side = np.median([np.linalg.norm(mark.corners_px[0] - mark.corners_px[1])
                      for mark, _, _ in placed])
    cv2.setRNGSeed(1)
    found, _ = cv2.findHomography(flat, seen, cv2.RANSAC, _MOST_OFF_MM * float(side) / MARK_MM)
    if found is None or not np.isfinite(found).all() or abs(np.linalg.det(found)) < 1e-12:
        return None
    return np.asarray(found, np.float64)


def _off_mm(to_pixels: FloatArray, placed: Sequence[tuple[FoundMark, int, int]],
            laid: WedgeSheet) -> FloatArray:
    """How far each mark lies beside its place on the flat sheet (N, 2)."""
    to_sheet: FloatArray = np.linalg.inv(to_pixels).astype(np.float64)
    return np.array([(_mapped(to_sheet, mark.corners_px)
                      - _corners_mm(row, column, laid)).mean(axis=0)
                     for mark, row, column in placed])


def _bent(to_pixels: FloatArray, placed: Sequence[tuple[FoundMark, int, int]],
          laid: WedgeSheet) -> SheetPlace:
    """The place with the bend of the sheet, and each row's ink where its marks are."""
    off = _off_mm(to_pixels, placed, laid)
    middles = np.array([_corners_mm(row, column, laid).mean(axis=0) for _, row, column in placed])
    middle = (middles.max(axis=0) + middles.min(axis=0)) / 2
    half = np.maximum((middles.max(axis=0) - middles.min(axis=0)) / 2, 1.0)
    terms = _bend_terms(middles, middle, half)
    bend = np.zeros((terms.shape[1], 2))
    if len(placed) >= _LEAST_TO_BEND:
        # a row's ink may lie elsewhere as a whole: only what its marks differ by is bend
        rows = np.array([row for _, row, _ in placed])
        own, left = terms.copy(), off.copy()
        for row in np.unique(rows):
            own[rows == row] -= own[rows == row].mean(axis=0)
            left[rows == row] -= left[rows == row].mean(axis=0)
        flat = _FLAT_WEIGHT * len(placed) * np.eye(terms.shape[1]) / terms.shape[1]
        bend = np.linalg.solve(own.T @ own + flat, own.T @ left)
    left = off - terms @ bend
    found = {}
    for row in {row for _, row, _ in placed}:
        beside = left[[at == row for _, at, _ in placed]]
        shift = np.median(beside, axis=0)
        spread = np.sqrt(np.mean((beside - shift) ** 2))
        if len(beside) >= _LEAST_OF_ROW and spread < _MOST_SPREAD_MM:
            found[row] = shift
    return SheetPlace(to_pixels=to_pixels, bend=bend, middle_mm=middle, half_mm=half, rows=found,
                      marks=tuple(placed))


def _bend_terms(points_mm: FloatArray, middle_mm: FloatArray, half_mm: FloatArray) -> FloatArray:
    """Second and third powers of the place, which a homography lacks; none beyond the marks."""
    u, v = np.clip((points_mm - middle_mm) / half_mm, -1.1, 1.1).T
    return np.stack([u * u, u * v, v * v, u**3, u * u * v, u * v * v, v**3], axis=1)


def _mapped(matrix: FloatArray, points: FloatArray) -> FloatArray:
    raised = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    return np.asarray(raised[:, :2] / raised[:, 2:])
