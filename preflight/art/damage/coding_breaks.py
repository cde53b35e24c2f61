"""Where a picture's coded data went wrong, as its pixels show it.

Blocks are coded one after the other, row by row, each from what came before. Where a bit is wrong
all later blocks are lighter, darker, of another colour or in another place, up to the next restart
or the end. So along a line of one whole row of blocks, from the wrong block to the picture's right
edge and from its left edge on in the next row, each block differs from the one above it by the
same step, and nothing happens before and after. Horizons, window frames and lines of text run
straight, and do not step down by one block on the way. What starts and ends within one row of
blocks cannot be told from a small box in the picture.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preflight.art.artwork_pixels import ArtPixels
from preflight.art.damage.block_borders import BLOCK_PX, BorderSteps, Floats, border_steps

#: Sizes of coded units, in blocks of 8 pixels across and down: colours stored whole, at half size
#: both ways, and across alone.
UNITS = ((1, 1), (2, 2), (2, 1))
#: Blocks that must lie on either side of the step down. Own rule.
_LEAST_BLOCKS = 3
#: Share of the blocks that must step the same way; how much may happen beside, for the step; how
#: much the parts may differ. Own rules.
_LEAST_ALIKE, _MOST_BESIDE, _LEAST_RATIO = 0.75, 0.5, 0.35
#: Steps against their own spread, times the fourth root of the blocks that tell it, from which a
#: break is told: of levels, and of roughness. Own rules: of 77 sound photographs and drawings, in
#: three sizes of unit each, none comes above 1.3 and 1.6.
_LEAST_STEP, _LEAST_ROUGHNESS = 2.0, 2.5
#: Smallest step that counts (levels), and spread that is taken for granted (levels; logarithm).
_LEAST_LEVELS, _SPREAD = 0.3, 0.15
_MOST_STEP = 30.0
_TRIES = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class CodingBreak:
    """The first block from which a picture is not as it was coded.

    Attributes
    ----------
    row_px, column_px : int
        Upper left corner of the block.
    strength : float
        Its step against what is usual.
    """

    row_px: int
    column_px: int
    strength: float


def coding_break(source: ArtPixels) -> CodingBreak | None:
    """The strongest break that a picture's pixels show; None where they show none.

    Parameters
    ----------
    source : ArtPixels
        The picture, decoded at its full size.
    """
    steps = border_steps(source)
    if steps is None:
        return None
    found = [one for unit in UNITS for one in _breaks(steps.on(*unit), unit)]
    return max(found, key=lambda one: one.strength, default=None)


def _breaks(steps: BorderSteps, unit: tuple[int, int]) -> Iterator[CodingBreak]:
    wide = steps.lightness.shape[1]
    if len(steps.lightness) < 2 or wide < 2 * _LEAST_BLOCKS:
        return
    kinds = [(plane, _LEAST_STEP) for plane in (steps.lightness, steps.blueness, steps.redness)
             if plane is not None]
    for plane, least in [*kinds, (steps.roughness, _LEAST_ROUGHNESS)]:
        for place, strength in _in_rows(plane):
            if strength > least:
                yield CodingBreak(row_px=(place // wide + 1) * unit[1] * BLOCK_PX,
                                  column_px=place % wide * unit[0] * BLOCK_PX,
                                  strength=strength / least)


def _in_rows(steps: Floats) -> Iterator[tuple[int, float]]:
    """Where runs of one whole row of blocks step most, and how strongly; 0 for no break."""
    wide, flat = steps.shape[1], steps.ravel().astype(np.float64)
    summed = np.concatenate([[0.0], np.cumsum(np.clip(flat, -_MOST_STEP, _MOST_STEP))])
    runs = (summed[wide:] - summed[:-wide]) / wide
    left = np.abs(runs)
    for _ in range(_TRIES):
        place = int(left.argmax())
        left[max(0, place - wide // 2):place + wide // 2 + 1] = 0.0
        row, sign = place // wide, float(np.sign(runs[place]))
        turn, end = (row + 1) * wide, place + wide
        near = np.concatenate([flat[max(0, place - wide):place], flat[end:end + wide]])
        yield place, _strength((flat[place:turn] * sign, flat[turn:end] * sign),
                               (flat[row * wide:place], flat[end:turn + wide]), near)


def _strength(along: tuple[NDArray[np.float64], ...], beside: tuple[NDArray[np.float64], ...],
              near: NDArray[np.float64]) -> float:
    """How plainly all of ``along`` steps up while ``beside`` stays; 0 where it does not."""
    blocks = min(len(part) for part in along)
    if blocks < _LEAST_BLOCKS:
        return 0.0
    steps = [float(np.median(part)) for part in along]
    least, most = min(steps), max(steps)
    calm = max(abs(float(np.median(part))) if len(part) else 0.0 for part in beside)
    alike = min(float(np.mean(part > 0)) for part in along)
    if (least < _LEAST_LEVELS or calm > _MOST_BESIDE * least or least < _LEAST_RATIO * most
            or alike < _LEAST_ALIKE):
        return 0.0
    spread = 1.4826 * float(np.median(np.abs(near - np.median(near)))) if len(near) else 9.0
    return float(least / (spread + _SPREAD) * blocks**0.25)
