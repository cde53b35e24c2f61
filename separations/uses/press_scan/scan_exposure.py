"""The exposure scale of each ink as printed: which of its fields the stencil held."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from separations.uses.calibration.exposure_scale import (
    FRAME_MM,
    SCALE_STEPS,
    ExposureField,
    exposure_fields,
)
from separations.uses.calibration.sheet_marks import MARK_MM
from separations.uses.calibration.wedge_films import WedgeSheet
from separations.uses.press_scan.patch_light import PatchLight
from separations.uses.press_scan.patch_surroundings import Surroundings
from separations.uses.press_scan.scan_picture import ScanPicture
from separations.uses.press_scan.sheet_place import SheetPlace
from separations.uses.press_scan.solid_light import SolidLight, solid_light

Plane = NDArray[np.float32]

#: What is looked at round a field (mm), and where in it the wood is bare.
AROUND_MM = 0.75
_WOOD_FROM_MM = 0.3
#: What stays free within the frame (mm).
_CLEAR_MM = 0.45
#: A frame as dark as this, of the solid, is there: no scale is looked for without it. Own rule.
_LEAST_FRAME = 0.35
#: A field of which this share prints was not held. Own rule.
WASHED_OUT = 0.3
_MOST_PIXELS_PER_MM = 24.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FieldReading:
    """A field of the scale: its ink and place on the scale, and which share of it prints."""

    ink: int
    place: int
    printed: float
    corners_px: NDArray[np.float64]


def read_exposure_fields(picture: ScanPicture, place: SheetPlace, laid: WedgeSheet,
                         lights: Sequence[PatchLight]) -> Iterator[FieldReading]:
    """Read the fields whose frames are there; films of coarse pixels have none."""
    read = {patch: light for patch, light in zip(laid.patches, lights, strict=True)
            if not np.isnan(light.relative).all()}
    solids = {ink: solid_light(ink, read) for ink in range(len(laid.patches[0].percent))}
    for field in exposure_fields(laid.patches):
        solid = solids[field.ink]
        if solid is None or field.row not in place.rows:
            continue
        around = _around(field, place, laid)
        if not around.is_within(*picture.levels.shape[:2]):
            continue
        per_mm = min(around.pixels_per_mm, _MOST_PIXELS_PER_MM)
        light = around.flattened(picture.linear(*around.part), per_mm)
        printed = printed_share(light[:, :, solid.channel], solid)
        if printed is not None:
            yield FieldReading(ink=field.ink, place=field.place, printed=printed,
                               corners_px=around.patch_px)


def printed_share(light: Plane, solid: SolidLight) -> float | None:
    """Which share of a field prints; None where it has no frame.

    Parameters
    ----------
    light : ndarray, shape (rows, columns), float32
        Linear light of the field and `AROUND_MM` round it, in the solid's channel.
    """
    whole = MARK_MM + 2 * AROUND_MM
    y, x = (np.mgrid[0:light.shape[0], 0:light.shape[1]] + 0.5) * (
        whole / np.array(light.shape)[:, None, None]) - AROUND_MM
    # how far within the frame's outer edge
    depth = np.minimum(np.minimum(x, MARK_MM - x), np.minimum(y, MARK_MM - y))
    wood = float(np.median(light[depth < -_WOOD_FROM_MM]))
    coverage = (1 - light / max(wood, 1e-5)) / (1 - solid.relative)
    frame = float(coverage[(depth > FRAME_MM / 4) & (depth < FRAME_MM * 3 / 4)].mean())
    if frame < _LEAST_FRAME:
        return None
    return float(coverage[depth > FRAME_MM + _CLEAR_MM].mean())


def held_steps(fields: Sequence[FieldReading]) -> Mapping[int, int]:
    """The last step of the scale that each ink's stencil held; 0 where it held none.

    Inks whose fields are not all there, or hold again after one that did not, have none.
    """
    found = {}
    for ink in sorted({field.ink for field in fields}):
        printed = [[field.printed for field in fields if (field.ink, field.place) == (ink, place)]
                   for place in range(len(SCALE_STEPS))]
        if not all(printed):
            continue
        washed = [float(np.mean(shares)) >= WASHED_OUT for shares in printed]
        first = washed.index(True) if True in washed else len(washed)
        if all(washed[first:]):
            found[ink] = SCALE_STEPS[first - 1] if first else 0
    return found


def _around(field: ExposureField, place: SheetPlace, laid: WedgeSheet) -> Surroundings:
    left, top = laid.mark_mm(field.row, field.column)
    square = MARK_MM * np.array([[0, 0], [1, 0], [1, 1], [0, 1]], float)
    whole = MARK_MM + 2 * AROUND_MM
    corner = np.array([left, top])
    return Surroundings(
        patch_px=place.pixels(square + corner, field.row),
        whole_px=place.pixels(square * (whole / MARK_MM) + corner - AROUND_MM, field.row),
        pixels_per_mm=place.pixels_per_mm(corner + MARK_MM / 2), size_mm=(whole, whole))
