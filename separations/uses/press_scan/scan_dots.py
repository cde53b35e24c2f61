"""Dots and holes of the wedges counted in a picture, and what all pictures together tell."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from separations.uses.calibration.wedge_films import PATCH_MM, WedgeSheet
from separations.uses.press_scan.dot_counting import SpotCount, count_spots, spot_offset_mm
from separations.uses.press_scan.film_spots import FilmSpots
from separations.uses.press_scan.patch_light import PatchLight
from separations.uses.press_scan.patch_surroundings import Surroundings, surroundings_of
from separations.uses.press_scan.scan_picture import ScanPicture
from separations.uses.press_scan.sheet_place import SheetPlace
from separations.uses.press_scan.solid_light import solid_light

#: A step holds when so many of its dots are printed. Own rule.
HELD_SHARE = 0.9
#: Tones in which dots, or holes, are as good as surely there: they tell where the others lie.
_SURE_DOTS, _SURE_HOLES = (0.15, 0.35), (0.65, 0.85)
_MOST_PIXELS_PER_MM = 48.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StepCount:
    """The dots or holes of one patch, counted."""

    spots: FilmSpots
    count: SpotCount
    corners_px: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class CountedEnd:
    """One end of an ink's tone scale.

    Attributes
    ----------
    held, lost : float or None
        The outermost film tone (0 to 1) whose dots, or holes, are printed, and the next that is
        not; None where there is none.
    uncounted : float or None
        The next beyond ``held`` that the pictures are too coarse to count; None where all were.
    """

    held: float | None
    lost: float | None
    uncounted: float | None


def count_in_picture(picture: ScanPicture, place: SheetPlace, laid: WedgeSheet,
                     spots: Sequence[FilmSpots], lights: Sequence[PatchLight]
                     ) -> Iterator[StepCount]:
    """Count what can be counted in one picture, row by row.

    Parameters
    ----------
    spots : sequence of FilmSpots
        What the films hold.
    lights : sequence of PatchLight
        The light of each of the sheet's patches.
    """
    read = {patch: light for patch, light in zip(laid.patches, lights, strict=True)
            if not np.isnan(light.relative).all()}
    for key in dict.fromkeys((one.ink, one.patch.row, one.are_holes) for one in spots):
        ink, _, holes = key
        mine = [one for one in spots if (one.ink, one.patch.row, one.are_holes) == key
                and one.patch in read]
        solid = solid_light(ink, read)
        if solid is None:
            continue
        planes = {}
        for one in mine:
            around = _patch_alone(surroundings_of(one.patch, place, laid))
            per_mm = min(around.pixels_per_mm, _MOST_PIXELS_PER_MM)
            light = around.flattened(picture.linear(*around.part), per_mm)[:, :, solid.channel]
            over = light / np.float32(read[one.patch].wood[solid.channel])
            planes[one.patch] = (1 - over) / np.float32(1 - solid.relative)
        low, high = _SURE_HOLES if holes else _SURE_DOTS
        offsets = [spot_offset_mm(planes[one.patch], _per_mm(planes[one.patch]), one)
                   for one in mine if low <= one.patch.tones[ink] <= high]
        if not offsets:
            continue
        offset = np.mean(offsets, axis=0)
        for one in mine:
            plane = planes[one.patch]
            yield StepCount(spots=one, count=count_spots(plane, _per_mm(plane), one, offset),
                            corners_px=surroundings_of(one.patch, place, laid).patch_px)


def counted_end(counts: Sequence[StepCount], ink: int, *, holes: bool) -> CountedEnd:
    """How far an ink's dots, or holes, are printed, from the middle tones outwards."""
    mine = [one for one in counts if one.spots.ink == ink and one.spots.are_holes is holes]
    held: float | None = None
    uncounted: float | None = None
    for tone in sorted({one.spots.tone for one in mine}, reverse=not holes):
        known = [one.count for one in mine if one.spots.tone == tone and one.count.can_be_counted]
        if not known:
            # a finer step that can be counted tells of this one as well
            uncounted = uncounted or tone
            continue
        if (sum(one.printed for one in known)
                < HELD_SHARE * sum(one.looked_for for one in known)):
            return CountedEnd(held=held, lost=tone, uncounted=None)
        held, uncounted = tone, None
    return CountedEnd(held=held, lost=None, uncounted=uncounted)


def uncounted_told(ink: str, what: str, end: CountedEnd) -> str:
    """That an ink's finer dots, or holes, could not be counted, as a sentence."""
    assert end.uncounted is not None
    return (f"{ink}: the scan is too coarse to count {what} of {100 * end.uncounted:g} %; a finer "
            "one, of 600 ppi or more, may tell them.")


def _patch_alone(around: Surroundings) -> Surroundings:
    return Surroundings(patch_px=around.patch_px, whole_px=around.patch_px,
                        pixels_per_mm=around.pixels_per_mm, size_mm=(PATCH_MM, PATCH_MM))


def _per_mm(plane: NDArray[np.float32]) -> float:
    return float(plane.shape[1] / PATCH_MM)
