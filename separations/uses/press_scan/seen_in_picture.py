"""What one picture of the sheet shows beside the light of its patches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from separations.uses.calibration.wedge_films import WedgeSheet
from separations.uses.press_scan.film_spots import FilmSpots
from separations.uses.press_scan.patch_light import PatchLight
from separations.uses.press_scan.register_reading import MarkShift, read_register_marks
from separations.uses.press_scan.scan_dots import StepCount, count_in_picture
from separations.uses.press_scan.scan_exposure import FieldReading, read_exposure_fields
from separations.uses.press_scan.scan_picture import ScanPicture
from separations.uses.press_scan.sheet_place import SheetPlace


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeenInPicture:
    """What was found in it.

    Attributes
    ----------
    register : tuple of MarkShift
        Register marks that were read.
    dots : tuple of StepCount
        Dots and holes of the wedges' patches, counted.
    exposure : tuple of FieldReading
        Fields of the exposure scales.
    """

    register: tuple[MarkShift, ...] = ()
    dots: tuple[StepCount, ...] = ()
    exposure: tuple[FieldReading, ...] = ()


def look_at_picture(picture: ScanPicture, place: SheetPlace, laid: WedgeSheet,
                    spots: Sequence[FilmSpots], lights: Sequence[PatchLight]) -> SeenInPicture:
    """Read marks, count dots and look at the exposure scales.

    Parameters
    ----------
    spots : sequence of FilmSpots
        What the sheet's films hold that may be counted.
    lights : sequence of PatchLight
        The light of each of the sheet's patches.
    """
    return SeenInPicture(
        register=tuple(read_register_marks(picture, place, laid)),
        dots=tuple(count_in_picture(picture, place, laid, spots, lights)),
        exposure=tuple(read_exposure_fields(picture, place, laid, lights)))
