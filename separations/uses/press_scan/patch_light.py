"""The light of each patch over that of the bare wood to its left and right.

Both are cut into cells. Cells that differ from their neighbours by more than grain and dots do
(dust, a knot, glare) are left out; what the others differ by is the reading's spread.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from separations.uses.calibration.patches import Patch
from separations.uses.calibration.wedge_films import GAP_MM, WedgeSheet
from separations.uses.press_scan.patch_surroundings import surroundings_of
from separations.uses.press_scan.scan_picture import ScanPicture
from separations.uses.press_scan.sheet_place import SheetPlace

FloatArray = NDArray[np.float64]

#: Fewer pixels than this to a millimetre do not keep patch and wood apart. Own rule.
LEAST_PIXELS_PER_MM = 6.0
#: More than this are averaged: nothing finer is read.
_MOST_PIXELS_PER_MM = 16.0
#: What is left free along a patch's edge (mm), where ink is thicker and light comes from aside.
_EDGE_MM = 1.4
#: The same within the gaps of bare wood.
_GAP_EDGE_MM = 0.45
#: Cells along a patch's side, and along each gap.
_CELLS, _GAP_CELLS = 4, 6
#: A cell further from the middle one than this many deviations is left out, but no cell within
#: this share of the light: own rules.
_MOST_OFF, _LEAST_OFF_SHARE = 5.0, 0.04
_MOST_LEFT_OUT = 0.3
#: Cells that differ among each other by more than this share of their light and of the wood's
#: (deviations) are covered by something as a whole. Own rule.
_MOST_UNEVEN, _MOST_UNEVEN_OF_WOOD = 0.08, 0.01
#: What is told of them.
BEYOND_LEVELS = "beyond the picture's levels"
#: Share of a patch's pixels at the end of the levels beyond which light is not read.
_MOST_CLIPPED = 0.01
#: Marks may lie this many columns from a patch.
_MOST_COLUMNS_BEYOND = 4
_LEAST_LIGHT = 1e-5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PatchLight:
    """One patch in one picture.

    Attributes
    ----------
    relative : ndarray, shape (3,), float64
        Its light over the wood's beside it, in red, green and blue; NaN where it was not read.
    spread : ndarray, shape (3,), float64
        Standard deviation of that, as a share of it, by the differences of the cells.
    wood : ndarray, shape (3,), float64
        Linear light (0 to 1) of the wood beside it.
    grain : float
        Deviation of the wood's cells in green, as a share of their light.
    left_out : str
        Why it was not read at all, or in the colours that are NaN; empty otherwise.
    corners_px : ndarray, shape (4, 2), float64, or None
        Where it was looked for; None where nothing tells.
    """

    relative: FloatArray
    spread: FloatArray
    wood: FloatArray
    grain: float
    left_out: str = ""
    corners_px: FloatArray | None = None


def read_patch(picture: ScanPicture, place: SheetPlace, laid: WedgeSheet, patch: Patch
               ) -> PatchLight:
    """Read one patch."""
    marks = place.columns_of(patch.row)
    if not marks:
        return _unread("no mark of its row was found")
    around = surroundings_of(patch, place, laid)
    if not around.is_within(*picture.levels.shape[:2]):
        return _unread("it lies outside the picture")
    corners, scale = around.patch_px, around.pixels_per_mm
    if patch.row not in place.rows:
        return _unread("too few marks of its row were found", corners)
    if not marks[0] - _MOST_COLUMNS_BEYOND <= patch.column <= marks[-1] + _MOST_COLUMNS_BEYOND:
        return _unread("the marks that were found are far from it", corners)
    if scale < LEAST_PIXELS_PER_MM:
        return _unread(f"{scale:.1f} pixels to a millimetre are too few", corners)
    per_mm = min(scale, _MOST_PIXELS_PER_MM)
    levels = picture.levels[around.part]
    ends = ((levels == 0) | (levels == picture.top)).astype(np.float32)
    return _judged(around.flattened(picture.linear(*around.part), per_mm),
                   around.flattened(ends, per_mm), per_mm, corners)


def _unread(reason: str, corners: FloatArray | None = None) -> PatchLight:
    nothing = np.full(3, np.nan)
    return PatchLight(relative=nothing, spread=nothing, wood=nothing, grain=np.nan,
                      left_out=reason, corners_px=corners)


def _judged(light: NDArray[np.float32], clipped: NDArray[np.float32], per_mm: float,
            corners: FloatArray) -> PatchLight:
    edge, gap = round((GAP_MM + _EDGE_MM) * per_mm), GAP_MM * per_mm
    inside = np.s_[round(_EDGE_MM * per_mm):-round(_EDGE_MM * per_mm), edge:-edge]
    wide = light.shape[1]
    low, high = round(_GAP_EDGE_MM * per_mm), round(gap - _GAP_EDGE_MM * per_mm)
    strips = (np.s_[:, low:high], np.s_[:, wide - high:wide - low])
    patch = _cells(light[inside], _CELLS, _CELLS)
    wood = np.concatenate([_cells(light[strip], _GAP_CELLS, 1) for strip in strips])
    in_wood = np.mean([clipped[strip].mean(axis=(0, 1)) for strip in strips], axis=0)
    over = np.maximum(clipped[inside].mean(axis=(0, 1)), in_wood) > _MOST_CLIPPED
    relative, spread, reason = np.full(3, np.nan), np.full(3, np.nan), ""
    level = np.median(wood, axis=0)
    kept_patch, kept_wood = _kept(patch, level), _kept(wood, level)
    if min(kept_patch.mean(), kept_wood.mean()) < 1.0 - _MOST_LEFT_OUT:
        reason = ("uneven: dust, a knot or glare lies on "
                  + ("it" if kept_patch.mean() <= kept_wood.mean() else "the wood beside it"))
    else:
        one, other = patch[kept_patch], wood[kept_wood]
        level = other.mean(axis=0)
        relative = one.mean(axis=0) / np.maximum(level, _LEAST_LIGHT)
        spread = np.hypot(*(part.std(axis=0, ddof=1) / np.maximum(part.mean(axis=0), _LEAST_LIGHT)
                            / np.sqrt(len(part)) for part in (one, other)))
        if over.any():
            colours = [name for name, is_over in zip(("red", "green", "blue"), over, strict=True)
                       if is_over]
            reason = "its " + " and ".join(colours) + " light lies " + BEYOND_LEVELS
            relative[over] = np.nan
    grain = (float(wood[kept_wood, 1].std() / max(float(level[1]), _LEAST_LIGHT))
             if kept_wood.any() else np.nan)
    return PatchLight(relative=relative, spread=spread, wood=level, grain=grain, left_out=reason,
                      corners_px=corners)


def _cells(light: NDArray[np.float32], down: int, across: int) -> FloatArray:
    """Means of equal cells, shape (down * across, 3)."""
    return np.array([cell.mean(axis=(0, 1), dtype=np.float64)
                     for band in np.array_split(light, down, axis=0)
                     for cell in np.array_split(band, across, axis=1)])


def _kept(cells: FloatArray, wood: FloatArray) -> NDArray[np.bool_]:
    """Which cells are like the others, in all three colours; none where all differ."""
    middle = np.median(cells, axis=0)
    off = np.abs(cells - middle)
    deviation = 1.4826 * np.median(off, axis=0)
    if (deviation > _MOST_UNEVEN * middle + _MOST_UNEVEN_OF_WOOD * wood).any():
        return np.zeros(len(cells), np.bool_)
    limit = np.maximum(_MOST_OFF * deviation,
                       _LEAST_OFF_SHARE * np.maximum(middle, _LEAST_LIGHT))
    return np.asarray((off <= limit).all(axis=1))
