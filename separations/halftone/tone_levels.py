"""From tone value to the level a spot must exceed, so that coverage equals the tone asked.

Ranking the spot happens here, once per 16-bit tone value, and nowhere else: pixels only compare.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from preflight.halftone_spec import HalftoneSpec
from separations.halftone.cell_lattice import counted_end, counted_levels, repeat_pixels
from separations.halftone.dot_shapes import DOT_SHAPES

#: Tone values are whole numbers from 0 (clear) to this (solid).
SOLID_TONE = 65535
#: Spots are scaled to ±this, so that the two levels below lie beyond every spot.
SPOT_SCALE = 32766
#: The level that no spot exceeds, and the one that every spot exceeds.
CLEAR_LEVEL = 32767
SOLID_LEVEL = -32767


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldEnds:
    """The smallest and the largest tone whose dots and holes print, and their levels.

    Attributes
    ----------
    smallest, largest : float
        Tones, 0 to 1: those of the halftone, except that with ``thin`` dots in cells of a whole
        number of pixels the next possible shares are taken (upwards, and downwards).
    high_level, low_level : int
        Their levels; beyond every spot where there is no smallest dot or no largest.
    """

    smallest: float
    largest: float
    high_level: int
    low_level: int


@lru_cache(maxsize=16)
def held_ends(spec: HalftoneSpec) -> HeldEnds:
    """The ends between which this film's dots print."""
    smallest, largest = spec.smallest_tone, spec.largest_tone
    pixels = repeat_pixels(spec)
    if spec.small_dots == "thin" and pixels is not None:
        spot = DOT_SHAPES[spec.dot_shape]
        smallest = counted_end(spot, spec, pixels, smallest)
        largest = 1 - counted_end(spot, spec, pixels, 1 - largest)
    levels = _levels(spec, np.array([smallest, largest]))
    return HeldEnds(smallest=smallest, largest=largest,
                    high_level=int(levels[0]) if smallest > 0 else CLEAR_LEVEL,
                    low_level=int(levels[1]) if largest < 1 else SOLID_LEVEL)


@lru_cache(maxsize=16)
def tone_levels(spec: HalftoneSpec) -> NDArray[np.int16]:
    """The level of each 16-bit tone value, shape (65536,), int16, falling; not to be written to.

    Ink goes where the spot, scaled to ±`SPOT_SCALE`, exceeds the level. One step of the level is
    at most 0.004 % of coverage except within a hair of a link-up. Tone 0 stays clear and 65535
    solid. Tones below ``smallest_tone`` become clear (``drop``) or take the smallest dot's level
    (``hold``, and ``thin``, where other tables say which dots print); tones between
    ``largest_tone`` and solid take the largest dot's level.
    """
    tones = np.arange(SOLID_TONE + 1) / SOLID_TONE
    ends = held_ends(spec)
    levels = _levels(spec, np.minimum(np.maximum(tones, ends.smallest), ends.largest))
    if spec.small_dots == "drop":
        levels[:round(spec.smallest_tone * SOLID_TONE)] = CLEAR_LEVEL
    levels[0] = CLEAR_LEVEL
    levels[SOLID_TONE] = SOLID_LEVEL
    levels.setflags(write=False)
    return levels


def _levels(spec: HalftoneSpec, asked: NDArray[np.float64]) -> NDArray[np.int16]:
    spot = DOT_SHAPES[spec.dot_shape]
    pixels = repeat_pixels(spec)
    height = (spot.level_of_cover(asked) if pixels is None
              else counted_levels(spot, spec, pixels, asked))
    return np.rint(SPOT_SCALE * height).astype(np.int16)


@lru_cache(maxsize=1)
def line_levels() -> NDArray[np.int16]:
    """The level of each 8-bit line coverage, shape (256,), int16: half covered lies at zero."""
    covers = np.arange(256) / 255
    levels = np.rint(CLEAR_LEVEL * (1 - 2 * covers)).astype(np.int16)
    levels.setflags(write=False)
    return levels
