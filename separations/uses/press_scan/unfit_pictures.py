"""What makes a picture of the sheet unfit, each with a sentence and what to do about it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from preflight.files.regular_files import open_regular
from preflight.input_problem import InputProblem
from separations.uses.calibration.wedge_films import GAP_MM, WedgeSheet
from separations.uses.press_scan.patch_light import PatchLight
from separations.uses.press_scan.patch_surroundings import surroundings_of
from separations.uses.press_scan.scan_picture import ScanPicture
from separations.uses.press_scan.sheet_place import SheetPlace

FloatArray = NDArray[np.float64]

#: Bare wood darker than this in its brightest colour (linear light) is night: own rule.
_LEAST_WOOD = 0.06
#: Wood whose cells differ by less than this share has no grain: nothing was photographed.
_LEAST_GRAIN = 0.0015
#: A ground as grey as this (its darkest colour over its brightest) and with less grain than this is
#: white paper. Own rule: bamboo has half as much blue as red light.
_PAPER_GREY, _PAPER_GRAIN = 0.75, 0.006
#: Mean step of a JPEG's lightness beyond which it keeps too little: a quality of some 65 by the
#: tables of ITU-T T.81, annex K, as the usual libraries scale them. Own rule.
_MOST_STEP = 40.0
#: Lines to a millimetre of sheet from which on a lattice is looked for, and how many times the
#: usual power its line has in half of the gaps or more. Own rules: made-up wood had up to 20,
#: screens 200 and more, but for lines of two pixels that a JPEG had blurred.
_LEAST_LINES, _LATTICE_TIMES = 2.0, 60.0
#: Fewest gaps that tell of it.
_LEAST_GAPS = 12


def need_mild_compression(picture: ScanPicture) -> None:
    """Refuse a JPEG of strong compression.

    Raises
    ------
    InputProblem
        As told.
    """
    with open_regular(picture.path, would_do="a picture of the sheet") as file:
        if file.read(2) != b"\xff\xd8":
            return
        file.seek(0)
        with Image.open(file) as image:
            tables = getattr(image, "quantization", {})
    if tables and float(np.mean(tables[min(tables)])) > _MOST_STEP:
        raise InputProblem(
            where=str(picture.path), found="a JPEG of strong compression, which keeps no tints",
            would_do="the scan as a TIFF or PNG, or the photograph as the camera saved it (not as "
                     "a messenger or an editor passed it on),")


def need_wood_in_light(path: Path, lights: Sequence[PatchLight]) -> FloatArray:
    """Light of the bare wood (3,), linear; refuse ground without grain, and night.

    Raises
    ------
    InputProblem
        When the ground is no wood or is too dark.
    """
    seen = [light for light in lights if not np.isnan(light.grain)]
    if not seen:
        return np.full(3, np.nan)
    grain = float(np.median([light.grain for light in seen]))
    wood = np.median([light.wood for light in seen], axis=0)
    brightest = float(wood.max())
    grey = float(wood.min()) / max(brightest, 1e-6)
    if grain < _PAPER_GRAIN and grey > _PAPER_GREY and brightest > _LEAST_WOOD:
        raise InputProblem(where=str(path), found="the sheet on white paper or on a screen",
                           would_do="a picture of the print on the board's wood, where ink spreads "
                                    "otherwise than on paper,")
    if grain < _LEAST_GRAIN:
        raise InputProblem(where=str(path), found="patches on a ground without any grain",
                           would_do="a picture of the print on wood, not a screenshot or a proof,")
    if brightest < _LEAST_WOOD:
        raise InputProblem(where=str(path),
                           found=f"wood with {100 * brightest:.0f} % of full light",
                           would_do="a picture by daylight or on a scanner, exposed so that bare "
                                    "wood is bright but not white,")
    return np.asarray(wood)


def need_no_lattice(picture: ScanPicture, place: SheetPlace, laid: WedgeSheet) -> None:
    """Refuse a picture of a picture: bare wood has no lines at even distances, screens have.

    Raises
    ------
    InputProblem
        When the wood beside most patches has them.
    """
    times = [_line_in(strip, per_mm) for strip, per_mm in _gaps(picture, place, laid)]
    if len(times) >= _LEAST_GAPS and float(np.median(times)) > _LATTICE_TIMES:
        raise InputProblem(
            where=str(picture.path), found="a picture of a screen or of a printed picture (its "
            "bare wood has fine lines at even distances)",
            would_do="a picture of the print itself")


def _gaps(picture: ScanPicture, place: SheetPlace, laid: WedgeSheet
          ) -> Iterator[tuple[FloatArray, float]]:
    """Levels along the wood to the left of each patch, and their number to a millimetre."""
    for patch in laid.patches:
        if patch.row not in place.rows:
            continue
        around = surroundings_of(patch, place, laid)
        if not around.is_within(*picture.levels.shape[:2]):
            continue
        per_mm = around.pixels_per_mm
        flat = around.flattened(picture.coded(*around.part), per_mm)
        wood = flat[:, round(0.25 * GAP_MM * per_mm):round(0.75 * GAP_MM * per_mm)]
        yield wood.mean(axis=(1, 2), dtype=np.float64), per_mm


def _line_in(levels: FloatArray, per_mm: float) -> float:
    """Power of the strongest fine line over the usual power."""
    at = np.linspace(-1.0, 1.0, len(levels))
    left = levels - np.polyval(np.polyfit(at, levels, 3), at)
    power = np.abs(np.fft.rfft(left * np.hanning(len(left)))) ** 2
    fine = power[np.fft.rfftfreq(len(left), 1.0 / per_mm) >= _LEAST_LINES]
    return float(fine.max() / max(float(np.median(fine)), 1e-15))
