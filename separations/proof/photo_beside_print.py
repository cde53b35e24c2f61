"""The photograph beside its print, as it is and as an eye sees it, and both as figures."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull

from preflight.job_file.job import Job
from separations.colour.colorimetry import lab_to_srgb
from separations.colour.gamut_surface import surface_tones
from separations.colour.print_model import predict_image_lab
from separations.planes.art_separation import ArtSeparation, coarse_tones
from separations.planes.coarse_photos import bands_of, lab_of
from separations.planes.highlight_white import highlights_of

FloatArray = NDArray[np.float64]

#: What inks print that make up the photograph.
_PHOTO = ("underbase", "photo", "highlight white")
#: C* from which a photograph's colour has a hue worth a figure. Own rule.
_VIVID = 20.0
#: Sides of the gamut's two pictures (px), their margins, and points of the photograph in them.
_SIDE, _MARGIN, _POINTS = 640, 72, 20_000
#: Size of figures and names in them: read on a phone, where they are shrunk to half.
_LETTERS = 0.85
_PAPER, _INK, _LINE = (250, 249, 246), (60, 58, 54), (150, 146, 138)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BesidePrint:
    """A photograph and its print on the same pixels.

    Attributes
    ----------
    photo_lab, print_lab, seen_lab : ndarray, shape (rows, columns, 3), float64
        Lab D50 of the photograph, of the print, and of the print as the job's eye sees it; not a
        number where there is no photograph.
    hue_shift_deg : float
        Mean change of hue, where the photograph's C* is over 20, from photograph to what is seen.
    chroma_kept : float
        Median of what is left there of its chroma.
    """

    photo_lab: FloatArray
    print_lab: FloatArray
    seen_lab: FloatArray
    hue_shift_deg: float
    chroma_kept: float


def beside_print(job: Job, separation: ArtSeparation) -> BesidePrint | None:
    """Lay a job's photographs beside their print; None where no pixel shows one."""
    photo = lab_of(separation.photos, separation.missed.shape).astype(np.float64)
    there = np.isfinite(photo[..., 0])
    if not there.any():
        return None
    found = highlights_of(job)
    planes = coarse_tones(job, separation).planes
    printed = predict_image_lab(np.stack([
        plane for ink, plane in zip(job.ink, planes, strict=True)
        if plane is not None and ink.prints in _PHOTO]), found.model).astype(np.float64)
    seen = np.empty_like(printed)
    for rows in bands_of(printed.shape):
        seen[rows] = found.seen_lab(printed[rows])
    for lab in (printed, seen):
        lab[~there] = np.nan
    turn, kept = (np.concatenate(parts) for parts in zip(*(
        _of_vivid(photo[rows][there[rows]], seen[rows][there[rows]])
        for rows in bands_of(printed.shape)), strict=True))
    return BesidePrint(
        photo_lab=photo, print_lab=printed, seen_lab=seen,
        hue_shift_deg=float(turn.mean()) if turn.size else 0.0,
        chroma_kept=float(np.median(kept)) if kept.size else 1.0)


def _of_vivid(first: FloatArray, second: FloatArray) -> tuple[FloatArray, FloatArray]:
    """How far hue turns (degrees) and what is left of chroma where the first Lab is vivid."""
    chroma, left = (np.hypot(lab[:, 1], lab[:, 2]) for lab in (first, second))
    vivid = chroma > _VIVID
    turn = np.arctan2(second[vivid, 2], second[vivid, 1]) - np.arctan2(
        first[vivid, 2], first[vivid, 1])
    return np.degrees(np.abs(np.angle(np.exp(1j * turn)))), left[vivid] / chroma[vivid]


def beside_picture(beside: BesidePrint, wood_lab: tuple[float, float, float]) -> NDArray[np.uint8]:
    """Photograph, print, and the print as seen, one under the other, nose to the right.

    Parameters
    ----------
    beside : BesidePrint
        Both on the same pixels.
    wood_lab : tuple of float
        What lies where there is no photograph.

    Returns
    -------
    ndarray of uint8, shape (3 columns, rows, 3)
        sRGB.
    """
    shown = []
    for lab in (beside.photo_lab, beside.print_lab, beside.seen_lab):
        srgb = np.empty(lab.shape, np.uint8)
        for rows in bands_of(lab.shape):
            srgb[rows] = _srgb(np.where(np.isfinite(lab[rows]), lab[rows], np.array(wood_lab)))
        shown.append(np.asarray(cv2.rotate(srgb, cv2.ROTATE_90_CLOCKWISE), np.uint8))
    return np.concatenate(shown)


def gamut_pictures(job: Job, beside: BesidePrint) -> tuple[NDArray[np.uint8], ...]:
    """The inks on the wood against the photograph's colours, from above and from the side.

    Returns
    -------
    tuple of two ndarray of uint8, shape (rows, columns, 3)
        By a* and b*, and by C* and L*: each dot a colour of the photograph where a print would
        have to have it, in that colour; the line is what the inks can print, made convex.
    """
    found = highlights_of(job)
    model = found.model
    limit = min(job.separation.tone_sum_limit.fraction, float(model.ink_count))
    inks = model.predict_lab(surface_tones(model.ink_count, limit).points)
    photo = beside.photo_lab[np.isfinite(beside.photo_lab[..., 0])]
    photo = photo[::max(1, len(photo) // _POINTS)]
    wanted = found.aimed_lab(photo)
    colours = _srgb(photo)
    solids = model.primaries_lab[[0, *(1 << ink for ink in range(model.ink_count))]]
    sides = []
    for view, low, high, names in (
            (_from_above, (-90.0, -90.0), (90.0, 90.0), ("a*", "b*")),
            (_from_side, (0.0, 0.0), (110.0, 100.0), ("C*", "L*"))):
        chart = _Chart(ends=np.array([low, high]), names=names)
        drawn = chart.empty()
        chart.dots(drawn, view(wanted), colours)
        chart.outline(drawn, view(inks))
        chart.rings(drawn, view(solids), _srgb(solids))
        sides.append(drawn)
    return tuple(sides)


def _write(picture: NDArray[np.uint8], text: str, at: tuple[int, int]) -> None:
    cv2.putText(picture, text, at, cv2.FONT_HERSHEY_SIMPLEX, _LETTERS, _INK, 2, cv2.LINE_AA)


def _srgb(lab: FloatArray) -> NDArray[np.uint8]:
    return np.asarray(np.rint(lab_to_srgb(lab) * 255), np.uint8)


def _from_above(lab: FloatArray) -> FloatArray:
    return lab[:, 1:]


def _from_side(lab: FloatArray) -> FloatArray:
    return np.stack([np.hypot(lab[:, 1], lab[:, 2]), lab[:, 0]], axis=1)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Chart:
    """A square chart: (least, greatest) of both axes, shape (2, 2), and their names."""

    ends: FloatArray
    names: tuple[str, str]

    def pixels(self, values: FloatArray) -> NDArray[np.int32]:
        """Column and row of points, shape (N, 2)."""
        room = _SIDE - 2 * _MARGIN
        share = (values - self.ends[0]) / (self.ends[1] - self.ends[0])
        return np.asarray(np.rint(np.stack((
            _MARGIN + share[:, 0] * room, _SIDE - _MARGIN - share[:, 1] * room), axis=1)), np.int32)

    def empty(self) -> NDArray[np.uint8]:
        """The chart with its lines and figures."""
        picture = np.full((_SIDE, _SIDE, 3), _PAPER, np.uint8)
        ends = self.ends
        for axis in (0, 1):
            for value in np.arange(ends[0, axis], ends[1, axis] + 1, 30.0):
                line = np.array([[value, ends[0, 1]], [value, ends[1, 1]]] if axis == 0 else
                                [[ends[0, 0], value], [ends[1, 0], value]])
                first, last = (tuple(map(int, point)) for point in self.pixels(line))
                cv2.line(picture, first, last, _LINE if value == 0 else (228, 225, 219), 1)
                told = f"{value:.0f}"
                at = ((first[0] - 9 * len(told), _SIDE - _MARGIN + 36) if axis == 0 else
                      (_MARGIN - 10 - 18 * len(told), first[1] + 9))
                _write(picture, told, at)
        _write(picture, self.names[0], (_SIDE - _MARGIN + 14, _SIDE - _MARGIN + 9))
        _write(picture, self.names[1], (_MARGIN - 14, _MARGIN - 18))
        return picture

    def dots(self, picture: NDArray[np.uint8], places: FloatArray,
             colours: NDArray[np.uint8]) -> None:
        """One dot for each colour."""
        for (column, row), colour in zip(self.pixels(places), colours, strict=True):
            if 0 <= row < _SIDE - 1 and 0 <= column < _SIDE - 1:
                picture[row:row + 2, column:column + 2] = colour

    def outline(self, picture: NDArray[np.uint8], places: FloatArray) -> None:
        """The line round all points."""
        hull = self.pixels(places[ConvexHull(places).vertices])
        cv2.polylines(picture, [hull], True, _INK, 2, cv2.LINE_AA)

    def rings(self, picture: NDArray[np.uint8], places: FloatArray,
              colours: NDArray[np.uint8]) -> None:
        """A filled ring for each of a few colours."""
        for point, colour in zip(self.pixels(places), colours, strict=True):
            at = (int(point[0]), int(point[1]))
            cv2.circle(picture, at, 8, tuple(map(int, colour)), -1, cv2.LINE_AA)
            cv2.circle(picture, at, 8, _INK, 2, cv2.LINE_AA)
