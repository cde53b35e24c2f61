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
#: Pixels that a row must have, and blocks that must lie on either side of the step down. Own
#: rules.
_LEAST_ACROSS, _LEAST_BLOCKS = 256, 4
#: How many times what most rows step at most a break must step: a smooth sky that was coded
#: coarsely steps everywhere. Own rule.
_BEYOND_USUAL = 2.0
#: Share of the blocks that must step the same way; how much may happen beside, for the step; how
#: much the two parts may differ. Own rules.
_LEAST_ALIKE, _MOST_BESIDE, _LEAST_RATIO = 0.8, 0.35, 0.5
#: How far along the break steps may spread, against what is usual around it. Own rule.
_SPREAD_ALONG = 0.7
#: Steps against their spread, times the root of the blocks that tell them, from which a break is
#: told: of lightness, colours and roughness. Own rules, set so that no sound picture is called
#: damaged: see `tests/published/test_sound_photographs.py`.
_LEAST_LIGHTNESS, _LEAST_COLOUR, _LEAST_ROUGHNESS = 8.5, 9.5, 5.7
#: Smallest steps that count (levels; of roughness its logarithm): where a smooth sky was coded
#: coarsely its tones step from block to block by less. Own rules.
_STEP_LIGHTNESS, _STEP_COLOUR, _STEP_ROUGHNESS = 4.0, 6.0, 0.3
#: Spread that is taken for granted (levels; logarithm).
_SPREAD = 0.15
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
    if len(steps.lightness) < 2 or wide * unit[0] * BLOCK_PX < _LEAST_ACROSS:
        return
    for plane, step, least in (
            (steps.lightness, _STEP_LIGHTNESS, _LEAST_LIGHTNESS),
            (steps.blueness, _STEP_COLOUR, _LEAST_COLOUR),
            (steps.redness, _STEP_COLOUR, _LEAST_COLOUR),
            (steps.roughness, _STEP_ROUGHNESS, _LEAST_ROUGHNESS)):
        if plane is None:
            continue
        for place, strength in _in_rows(plane, step):
            if strength > least:
                yield CodingBreak(row_px=(place // wide + 1) * unit[1] * BLOCK_PX,
                                  column_px=place % wide * unit[0] * BLOCK_PX,
                                  strength=strength / least)


def _in_rows(steps: Floats, least_step: float) -> Iterator[tuple[int, float]]:
    """Where runs of one whole row of blocks step most, and how strongly; 0 for no break."""
    wide, flat = steps.shape[1], steps.ravel().astype(np.float64)
    summed = np.concatenate([[0.0], np.cumsum(np.clip(flat, -_MOST_STEP, _MOST_STEP))])
    runs = (summed[wide:] - summed[:-wide]) / wide
    left = np.abs(runs)
    usual = np.median(left[:len(left) // wide * wide].reshape(-1, wide).max(axis=1)) \
        if len(left) >= wide else 0.0
    for _ in range(_TRIES):
        place = int(left.argmax())
        if left[place] < _BEYOND_USUAL * usual:
            return
        left[max(0, place - wide // 2):place + wide // 2 + 1] = 0.0
        row, sign = place // wide, float(np.sign(runs[place]))
        turn, end = (row + 1) * wide, place + wide
        near = np.concatenate([flat[max(0, place - wide):place], flat[end:end + wide]])
        yield place, _strength((flat[place:turn] * sign, flat[turn:end] * sign),
                               (flat[row * wide:place], flat[end:turn + wide]), near, least_step)


def _strength(along: tuple[NDArray[np.float64], ...], beside: tuple[NDArray[np.float64], ...],
              near: NDArray[np.float64], least_step: float) -> float:
    """How plainly all of ``along`` steps up while ``beside`` stays; 0 where it does not."""
    blocks = min(len(part) for part in along)
    if blocks < _LEAST_BLOCKS:
        return 0.0
    steps = [float(np.median(part)) for part in along]
    least, most = min(steps), max(steps)
    calm = max(abs(float(np.median(part))) if len(part) else 0.0 for part in beside)
    alike = min(float(np.mean(part > 0)) for part in along)
    if (least < least_step or calm > _MOST_BESIDE * least or least < _LEAST_RATIO * most
            or alike < _LEAST_ALIKE):
        return 0.0
    spread = max(_spread(near), *(_SPREAD_ALONG * _spread(part) for part in along))
    return float(least / (spread + _SPREAD) * blocks**0.5)


def _spread(steps: NDArray[np.float64]) -> float:
    """A robust standard deviation."""
    return 1.4826 * float(np.median(np.abs(steps - np.median(steps)))) if len(steps) else 9.0
