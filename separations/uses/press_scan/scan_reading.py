"""One picture of the sheet, read: which sheet it is, where it lies, and the light of each patch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preflight.input_problem import InputProblem
from preflight.units import MM_PER_INCH
from separations.uses.calibration.sheet_marks import SheetNumber
from separations.uses.calibration.wedge_films import WedgeSheet
from separations.uses.press_scan.film_spots import FilmSpots
from separations.uses.press_scan.found_sharpening import found_sharpening
from separations.uses.press_scan.mark_finder import find_marks, mirrored_marks
from separations.uses.press_scan.patch_light import LEAST_PIXELS_PER_MM, PatchLight, read_patch
from separations.uses.press_scan.scan_drawing import drawn_scan
from separations.uses.press_scan.scan_picture import ScanPicture, open_scan
from separations.uses.press_scan.seen_in_picture import SeenInPicture, look_at_picture
from separations.uses.press_scan.sheet_place import (
    LEAST_PLACE_MARKS,
    SheetPlace,
    number_told,
    place_sheet,
)

#: Bare wood darker than this in its brightest colour (linear light) is night: own rule.
_LEAST_WOOD = 0.06
#: Wood whose cells differ by less than this share has no grain: nothing was photographed.
_LEAST_GRAIN = 0.0015
#: A scale that differs by more than this over the sheet is that of a photograph. Own rule.
_SCALE_OF_PHOTOGRAPHS = 0.02


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ScanReading:
    """What one picture told.

    Attributes
    ----------
    path : Path
        The file.
    colour_told : str
        What tells the meaning of its levels.
    in_perspective : bool
        Whether the sheet was seen aslant, as by a camera.
    lossy : bool
        Whether its format keeps less of colours than of lightness, as JPEG does.
    sharpened : float
        How much sharpening was found and undone: its share of each level's difference from a
        blurred copy.
    relative, spread : ndarray, shape (N, 3), float64
        Light of each patch over its wood's in red, green and blue, and its deviation as a share of
        it; NaN where not read.
    left_out : tuple of str
        For each patch why it was not read; empty where it was.
    seen : SeenInPicture
        What else it shows.
    drawn : bytes
        A JPEG of the picture with what was found.
    """

    path: Path
    colour_told: str
    in_perspective: bool
    lossy: bool
    sharpened: float
    relative: NDArray[np.float64]
    spread: NDArray[np.float64]
    left_out: tuple[str, ...]
    seen: SeenInPicture
    drawn: bytes


def read_scan(path: Path, laid: WedgeSheet, number: SheetNumber, *, light_inks: bool,
              spots: Sequence[FilmSpots] = ()) -> ScanReading:
    """Read a picture.

    Parameters
    ----------
    laid : WedgeSheet
        The job's test sheet.
    number : SheetNumber
        The number that its marks tell.
    light_inks : bool
        Whether an ink is lighter than the wood.
    spots : sequence of FilmSpots
        What the sheet's films hold that may be counted.

    Raises
    ------
    InputProblem
        When it is no picture that can be read; no sheet, another one or a mirrored one is in it;
        it is too small, too dark, or was never printed on wood.
    """
    picture = open_scan(path)
    place = _placed(picture, laid, number, light_inks=light_inks)
    picture = replace(picture, sharpened=found_sharpening(
        picture.coded, picture.levels.shape[:2], place, laid))
    lights = tuple(read_patch(picture, place, laid, patch) for patch in laid.patches)
    _need_wood_in_light(path, lights)
    seen = look_at_picture(picture, place, laid, spots, lights)
    scales = [place.pixels_per_mm(np.array(laid.mark_mm(row, column)))
              for _, row, column in place.marks]
    return ScanReading(
        path=path, colour_told=picture.colour_told,
        in_perspective=max(scales) / min(scales) - 1.0 > _SCALE_OF_PHOTOGRAPHS,
        lossy=picture.lossy, sharpened=picture.sharpened,
        relative=np.array([light.relative for light in lights]),
        spread=np.array([light.spread for light in lights]),
        left_out=tuple(light.left_out for light in lights), seen=seen,
        drawn=drawn_scan(picture, place, laid.patches, lights, seen))


def _placed(picture: ScanPicture, laid: WedgeSheet, number: SheetNumber, *, light_inks: bool
            ) -> SheetPlace:
    path = picture.path
    found = find_marks(picture, light_inks=light_inks)
    if len(found) < LEAST_PLACE_MARKS and mirrored_marks(picture) > len(found):
        raise InputProblem(where=str(path), found="the test sheet mirrored",
                           would_do="a scan of the printed side, not flipped,")
    place = place_sheet(found, laid)
    if place is None:
        told = (f"{len(found)} of the test sheet's marks" if found
                else "none of the test sheet's marks")
        raise InputProblem(
            where=str(path), found=told,
            would_do="a sharp picture, at 300 ppi or more and without glare, of half the sheet or "
                     "more as 'topsheet wedge' makes it (prints of films without these marks need "
                     "a meter and the list of patches)")
    told_number = number_told(place)
    if told_number is None:
        raise InputProblem(where=str(path), found="too few marks to tell which test sheet it is",
                           would_do="a sharp picture of half the sheet or more")
    if told_number != number:
        other = ("the test sheet of this job with other patches, mesh or halftone"
                 if told_number.is_of_job(number) else "the test sheet of another job")
        raise InputProblem(where=str(path), found=other,
                           would_do="a picture of a print of the job's films as they are now, or "
                                    "the job file that the sheet was made from,")
    middle = np.mean([laid.mark_mm(row, column) for _, row, column in place.marks], axis=0)
    scale = place.pixels_per_mm(middle)
    if scale < LEAST_PIXELS_PER_MM:
        raise InputProblem(where=str(path),
                           found=f"{scale * MM_PER_INCH:.0f} pixels to an inch of sheet",
                           would_do="300 or more; photograph half the sheet at a time, or scan it,")
    return place


def _need_wood_in_light(path: Path, lights: Sequence[PatchLight]) -> None:
    seen = [light for light in lights if not np.isnan(light.grain)]
    if not seen:
        return
    if float(np.median([light.grain for light in seen])) < _LEAST_GRAIN:
        raise InputProblem(where=str(path), found="patches on a ground without any grain",
                           would_do="a picture of the print on wood, not a screenshot or a proof,")
    wood = float(np.median([light.wood for light in seen], axis=0).max())
    if wood < _LEAST_WOOD:
        raise InputProblem(where=str(path), found=f"wood with {100 * wood:.0f} % of full light",
                           would_do="a picture by daylight or on a scanner, exposed so that bare "
                                    "wood is bright but not white,")
