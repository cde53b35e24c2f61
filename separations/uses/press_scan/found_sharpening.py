"""How much a scanner or camera sharpened a picture, by the rims along the edges of solids."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from separations.uses.calibration.wedge_films import GAP_MM, PATCH_MM, WedgeSheet
from separations.uses.press_scan.patch_surroundings import Surroundings, surroundings_of
from separations.uses.press_scan.sharpening import unsharpened
from separations.uses.press_scan.sheet_place import SheetPlace

Plane = NDArray[np.float32]

#: Amounts that are tried.
_AMOUNTS = tuple(round(0.1 * step, 1) for step in range(16))
#: Sharpening that no rim shows, since light that wanders under the edge of ink darkens the wood
#: there: what of it is undone besides, and its deviation. Own rules: made-up pictures that were
#: sharpened by up to 0.8 had 0.3 more than was found, within 0.15 to 0.6.
HIDDEN_SHARPENING, UNSURE_SHARPENING = 0.25, 0.2
#: A rim within this share of an edge's height is none.
_NO_RIM = 0.0005
#: Where rims lie beside an edge (pixels), and where both sides are level (mm from it).
_RIM_PX = (1.8, 4.2)
_LEVEL_MM = (0.75, 1.25)
#: Edges lower than this (of all levels) tell nothing.
_LEAST_HEIGHT = 0.12


def found_sharpening(coded_part: Callable[[slice, slice], Plane], size: tuple[int, int],
                     place: SheetPlace, laid: WedgeSheet) -> float:
    """The amount of sharpening after whose undoing the edges of solids have no rims.

    Parameters
    ----------
    coded_part : callable
        Levels (0 to 1) of rows and columns of the picture, shape (rows, columns, 3).
    size : tuple of int
        The picture's rows and columns.
    """
    parts = list(_solid_parts(coded_part, size, place, laid))
    for amount in _AMOUNTS:
        rims = [rim for part, around in parts for rim in _rims(
            around.flattened(unsharpened(part, amount), around.pixels_per_mm))]
        if not rims or float(np.median(rims)) < _NO_RIM:
            return amount
    return _AMOUNTS[-1]


def _solid_parts(coded_part: Callable[[slice, slice], Plane], size: tuple[int, int],
                 place: SheetPlace, laid: WedgeSheet) -> Iterator[tuple[Plane, Surroundings]]:
    """The levels of each wedge's solids and what is beside them."""
    for patch in laid.patches:
        if patch.kind != "wedge" or max(patch.tones) < 1.0 or patch.row not in place.rows:
            continue
        around = surroundings_of(patch, place, laid)
        if around.is_within(*size):
            yield coded_part(*around.part), around


def _rims(flat: Plane) -> Iterator[float]:
    """How far levels overshoot beside the left and the right edge, over the edge's height."""
    per_mm = flat.shape[1] / (2 * GAP_MM + PATCH_MM)
    inside = slice(round(1.5 * per_mm), -round(1.5 * per_mm))
    across = flat[inside].mean(axis=0)
    for profile in (across, across[::-1]):
        wood, solid = (profile[round((GAP_MM + low) * per_mm):round((GAP_MM + high) * per_mm)]
                       .mean(axis=0) for low, high in (
                           (-_LEVEL_MM[1], -_LEVEL_MM[0]), _LEVEL_MM))
        channel = int(np.argmax(wood - solid))
        height = float(wood[channel] - solid[channel])
        if height < _LEAST_HEIGHT:
            continue
        rise = (profile[:, channel] - solid[channel]) / height
        start = round(_LEVEL_MM[0] * per_mm)
        crossing = start + int(np.argmax(rise[start:] < 0.5))
        # where the rise passes a half, between two pixels
        edge = crossing - (0.5 - rise[crossing]) / (rise[crossing - 1] - rise[crossing])
        at = np.linspace(*_RIM_PX, 8)
        beside = np.arange(len(rise))
        over = np.interp(edge - at, beside, rise).mean() - 1.0
        under = -np.interp(edge + at, beside, rise).mean()
        yield float(over + under) / 2.0
