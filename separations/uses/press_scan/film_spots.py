"""The single dots, and the single holes, that the films of the test sheet's wedges hold.

They are read from the film's own bits as they are screened, whatever the shape of the dots and
whether some were thinned out, so that each can be looked for in the print.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.job_file.job import Job
from separations.halftone.screening import Prepared, prepare, screen_region
from separations.uses.calibration.patches import Patch
from separations.uses.calibration.wedge_films import WedgeSheet, wedge_content

FloatArray = NDArray[np.float64]

#: Film tones up to which dots stand single, and from which on holes do.
MOST_DOTS, LEAST_HOLES = 0.3, 0.7
#: Dots nearer to the patch's edge than this (mm) are left aside.
EDGE_MM = 1.4
#: Thinned dots that are larger than the step's own by this share show no dots of its size.
_OTHER_SIZE = 1.2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FilmSpots:
    """The dots or holes of one patch of a wedge.

    Attributes
    ----------
    patch : Patch
        The patch.
    ink : int
        Its ink, in print order from 0.
    are_holes : bool
        Whether they are holes in ink.
    tone : float
        Film tone (0 to 1) that dots or holes of their size make where none is left out.
    middles_mm : ndarray, shape (N, 2), float64
        Their middles, to the right and down from the patch's upper left corner.
    area_mm2 : float
        Size of one of them, the median.
    pitch_mm : float
        From one to the next where none is left out.
    """

    patch: Patch
    ink: int
    are_holes: bool
    tone: float
    middles_mm: FloatArray
    area_mm2: float
    pitch_mm: float


def film_spots(job: Job, laid: WedgeSheet) -> tuple[FilmSpots, ...]:
    """All that can be counted on a job's test sheet: no lines, and no scattered dots."""
    found: list[FilmSpots] = []
    for number, ink in enumerate(job.ink):
        spec = job.halftone_of(ink)
        if not spec.is_periodic or spec.makes_lines:
            continue
        content = prepare(wedge_content(job, ink, laid, ()))
        found += _spots_of_ink(content, laid, number, 10.0 / spec.ruling_lpcm)
    return tuple(found)


def _spots_of_ink(content: Prepared, laid: WedgeSheet, ink: int, pitch_mm: float
                  ) -> Iterator[FilmSpots]:
    for patch in laid.patches:
        tone = patch.tones[ink]
        if patch.kind != "wedge" or not (0 < tone <= MOST_DOTS or LEAST_HOLES <= tone < 1):
            continue
        bits, corner_mm, pixel_mm = patch_bits(content, laid, patch)
        holes = tone >= LEAST_HOLES
        _, _, stats, middles = cv2.connectedComponentsWithStats(
            (~bits if holes else bits).astype(np.uint8), connectivity=4 if holes else 8)
        areas = stats[1:, cv2.CC_STAT_AREA] * pixel_mm**2
        at_mm = (middles[1:] + 0.5) * pixel_mm + corner_mm
        left, top, right, bottom = laid.box_mm(patch.row, patch.column)
        size = np.array([right - left, bottom - top])
        inside = ((at_mm > EDGE_MM) & (at_mm < size - EDGE_MM)).all(axis=1)
        if not inside.any():
            continue
        area = float(np.median(areas[inside]))
        # specks of a dot that the film's pixels cut off are part of it
        inside &= areas > area / 2
        alone = area / pitch_mm**2
        own = 1 - tone if holes else tone
        shown = alone if alone > _OTHER_SIZE * own else own
        yield FilmSpots(patch=patch, ink=ink, are_holes=holes,
                        tone=round(1 - shown if holes else shown, 4), middles_mm=at_mm[inside],
                        area_mm2=area, pitch_mm=pitch_mm)


def patch_bits(content: Prepared, laid: WedgeSheet, patch: Patch
                ) -> tuple[NDArray[np.bool_], FloatArray, float]:
    """The film in a patch, where its first pixel lies from the patch's corner, and its pixel."""
    grid = laid.sheet.art_grid
    least_x, least_y, greatest_x, greatest_y = laid.bounds_mm(patch)
    first_row, end_row = round(grid.row_of(greatest_x)), round(grid.row_of(least_x))
    first, end = round(grid.column_of(greatest_y)), round(grid.column_of(least_y))
    whole = first - first % 8
    packed = screen_region(content, first_row, end_row, whole, end)
    bits = np.unpackbits(packed, axis=1)[:, first - whole:end - whole].astype(np.bool_)
    corner = np.array([first - grid.column_of(greatest_y), first_row - grid.row_of(greatest_x)])
    return bits, corner * grid.pixel_mm, grid.pixel_mm
