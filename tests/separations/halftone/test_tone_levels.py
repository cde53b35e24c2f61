"""Tone values to levels: solids, clear film, smallest and largest tones."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.press.dot_shapes import DOT_SHAPES
from preflight.press.halftone_spec import DotShape, HalftoneSpec, SmallDots
from separations.halftone.spot_levels import SPOT_SCALE
from separations.halftone.tone_levels import CLEAR_LEVEL, SOLID_LEVEL, line_levels, tone_levels


def _spec(**changes: object) -> HalftoneSpec:
    known = {"ruling_lpcm": 18.0, "angle_deg": 22.5, "dot_shape": "round", "film_dpi": 1440.0}
    return HalftoneSpec(**(known | changes))  # type: ignore[arg-type]


@pytest.mark.parametrize("shape", DOT_SHAPES)
def test_levels_fall_from_clear_to_solid(shape: DotShape) -> None:
    levels = tone_levels(_spec(dot_shape=shape)).astype(int)
    assert levels[0] == CLEAR_LEVEL > SPOT_SCALE
    assert levels[-1] == SOLID_LEVEL < -SPOT_SCALE
    assert (np.diff(levels) <= 0).all()


@pytest.mark.parametrize(("small_dots", "below"), [("drop", CLEAR_LEVEL), ("hold", None)])
def test_small_dots_are_dropped_or_held(small_dots: SmallDots, below: int | None) -> None:
    levels = tone_levels(_spec(smallest_tone=0.03, small_dots=small_dots))
    smallest = round(0.03 * 65535)
    plain = tone_levels(_spec())
    assert levels[smallest] == plain[smallest]
    expected = levels[smallest] if below is None else below
    assert (levels[1:smallest] == expected).all()
    assert levels[0] == CLEAR_LEVEL


def test_tones_above_the_largest_keep_its_hole_but_solids_stay_solid() -> None:
    levels = tone_levels(_spec(largest_tone=0.9))
    largest = round(0.9 * 65535)
    assert (levels[largest + 1:-1] == levels[largest + 1]).all()
    assert levels[-1] == SOLID_LEVEL
    assert levels[largest + 1] == pytest.approx(tone_levels(_spec())[largest], abs=1)


def test_line_levels_cross_zero_at_half_coverage() -> None:
    levels = line_levels()
    assert levels[0] == CLEAR_LEVEL
    assert levels[255] == SOLID_LEVEL
    assert levels[127] > 0 > levels[128]
