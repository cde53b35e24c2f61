"""From tone value to the level a spot must exceed, so that coverage equals the tone asked.

Ranking the spot happens here, once per 16-bit tone value, and nowhere else: pixels only compare.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from preflight.halftone_spec import HalftoneSpec
from separations.halftone.cell_lattice import counted_levels, repeat_pixels
from separations.halftone.dot_shapes import DOT_SHAPES

#: Tone values are whole numbers from 0 (clear) to this (solid).
SOLID_TONE = 65535
#: Spots are scaled to ±this, so that the two levels below lie beyond every spot.
SPOT_SCALE = 32766
#: The level that no spot exceeds, and the one that every spot exceeds.
CLEAR_LEVEL = 32767
SOLID_LEVEL = -32767


@lru_cache(maxsize=16)
def tone_levels(spec: HalftoneSpec) -> NDArray[np.int16]:
    """The level of each 16-bit tone value, shape (65536,), int16, falling; not to be written to.

    Ink goes where the spot, scaled to ±`SPOT_SCALE`, exceeds the level. One step of the level is
    at most 0.004 % of coverage except within a hair of a link-up. Tone 0 stays clear and 65535
    solid. Tones below ``smallest_tone`` become clear (``drop``) or take the smallest dot's level
    (``hold``); tones between ``largest_tone`` and solid take the largest dot's level.
    """
    tones = np.arange(SOLID_TONE + 1) / SOLID_TONE
    asked = np.minimum(np.maximum(tones, spec.smallest_tone), spec.largest_tone)
    spot = DOT_SHAPES[spec.dot_shape]
    pixels = repeat_pixels(spec)
    height = (spot.level_of_cover(asked) if pixels is None
              else counted_levels(spot, spec, pixels, asked))
    levels = np.rint(SPOT_SCALE * height).astype(np.int16)
    if spec.small_dots == "drop":
        levels[:round(spec.smallest_tone * SOLID_TONE)] = CLEAR_LEVEL
    levels[0] = CLEAR_LEVEL
    levels[SOLID_TONE] = SOLID_LEVEL
    levels.setflags(write=False)
    return levels


@lru_cache(maxsize=1)
def line_levels() -> NDArray[np.int16]:
    """The level of each 8-bit line coverage, shape (256,), int16: half covered lies at zero."""
    covers = np.arange(256) / 255
    levels = np.rint(CLEAR_LEVEL * (1 - 2 * covers)).astype(np.int16)
    levels.setflags(write=False)
    return levels
