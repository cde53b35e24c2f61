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
from separations.uses.press_scan.beside_target import NOTHING_BESIDE, Beside
from separations.uses.press_scan.film_spots import FilmSpots
from separations.uses.press_scan.found_sharpening import (
    HIDDEN_SHARPENING,
    UNSURE_SHARPENING,
    found_sharpening,
)
from separations.uses.press_scan.grey_curve import GREY_TOLD, with_grey_curve
from separations.uses.press_scan.mark_finder import find_marks, mirrored_marks
from separations.uses.press_scan.patch_light import LEAST_PIXELS_PER_MM, read_patch
from separations.uses.press_scan.scan_drawing import drawn_scan
from separations.uses.press_scan.scan_picture import ScanPicture, open_scan
from separations.uses.press_scan.seen_in_picture import SeenInPicture, look_at_picture
from separations.uses.press_scan.sheet_place import (
    LEAST_PLACE_MARKS,
    SheetPlace,
    number_told,
    place_sheet,
)
from separations.uses.press_scan.target_light import TargetLight, target_light
from separations.uses.press_scan.unfit_pictures import (
    need_mild_compression,
    need_no_lattice,
    need_wood_in_light,
)

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
    softer : ndarray, shape (N, 3), float64
        The same light had the picture been sharpened by `UNSURE_SHARPENING` more than was undone;
        NaN where not read.
    wood : ndarray, shape (3,), float64
        Linear light (0 to 1) of the bare wood in red, green and blue.
    light : ndarray, shape (3, 65536), float32
        What its levels mean as light.
    target : TargetLight or None
        Light of the colour target beside the sheet, where it is in this picture.
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
    softer: NDArray[np.float64]
    wood: NDArray[np.float64]
    light: NDArray[np.float32]
    target: TargetLight | None
    left_out: tuple[str, ...]
    seen: SeenInPicture
    drawn: bytes


def read_scan(path: Path, laid: WedgeSheet, number: SheetNumber, *, light_inks: bool,
              beside: Beside = NOTHING_BESIDE, spots: Sequence[FilmSpots] = ()) -> ScanReading:
    """Read a picture.

    Parameters
    ----------
    laid : WedgeSheet
        The job's test sheet.
    number : SheetNumber
        The number that its marks tell.
    light_inks : bool
        Whether an ink is lighter than the wood.
    beside : Beside
        What of known values lies beside the sheet, or told another picture of the same camera.
    spots : sequence of FilmSpots
        What the sheet's films hold that may be counted.

    Raises
    ------
    InputProblem
        When it is no picture that can be read; no sheet, another one or a mirrored one is in it;
        it is too small, too dark, or was never printed on wood; when a grey scale or target is not
        where its table says.
    """
    picture = open_scan(path)
    need_mild_compression(picture)
    place = _placed(picture, laid, number, light_inks=light_inks)
    if beside.grey is not None and beside.grey.is_in(path):
        picture = with_grey_curve(picture, place, laid, beside.grey)
    elif beside.light is not None:
        picture = replace(picture, light=beside.light, colour_told=GREY_TOLD)
    found = found_sharpening(picture.coded, picture.levels.shape[:2], place, laid)
    undone = replace(picture, sharpened=found)
    picture = replace(picture, sharpened=found + HIDDEN_SHARPENING)
    lights = tuple(read_patch(picture, place, laid, patch) for patch in laid.patches)
    more = replace(picture, sharpened=picture.sharpened + UNSURE_SHARPENING)
    softer = [read_patch(more, place, laid, patch).relative if patch.kind == "wedge"
              else light.relative for patch, light in zip(laid.patches, lights, strict=True)]
    wood = need_wood_in_light(path, lights)
    need_no_lattice(picture, place, laid)
    seen = look_at_picture(undone, place, laid, spots, lights)
    scales = [place.pixels_per_mm(np.array(laid.mark_mm(row, column)))
              for _, row, column in place.marks]
    return ScanReading(
        path=path, colour_told=picture.colour_told,
        in_perspective=max(scales) / min(scales) - 1.0 > _SCALE_OF_PHOTOGRAPHS,
        lossy=picture.lossy, sharpened=found,
        relative=np.array([light.relative for light in lights]),
        spread=np.array([light.spread for light in lights]),
        softer=np.array(softer), wood=wood, light=picture.light,
        target=target_light(picture, lights, beside),
        left_out=tuple(light.left_out for light in lights), seen=seen,
        drawn=drawn_scan(picture, place, laid.patches, lights, seen, beside.squares_px(path)))


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
