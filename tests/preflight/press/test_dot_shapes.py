"""Dot shapes by name: where their dots and holes lie, and that no unknown name passes."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.press.dot_shapes import DOT_SHAPES, makes_lines, shape_names, spot_of
from preflight.press.halftone_spec import HalftoneSpec


def _cell(shape: str, side: int = 201) -> np.ndarray:
    places = (np.arange(side) + 0.5) / side - 0.5
    return np.asarray(spot_of(shape)(places[:, None], places[None, :]))


@pytest.mark.parametrize("shape", DOT_SHAPES)
def test_a_cells_middle_is_highest_and_its_corners_lowest(shape: str) -> None:
    heights = _cell(shape)
    assert heights[100, 100] == heights.max()
    for corner in (heights[0, 0], heights[0, -1], heights[-1, 0], heights[-1, -1]):
        assert corner == pytest.approx(heights.min(), abs=1e-9)


@pytest.mark.parametrize("shape", DOT_SHAPES)
def test_a_cell_is_the_same_from_both_sides(shape: str) -> None:
    heights = _cell(shape)
    np.testing.assert_allclose(heights, heights[::-1], atol=1e-12)
    np.testing.assert_allclose(heights, heights[:, ::-1], atol=1e-12)


def test_only_lines_are_lines() -> None:
    assert [shape for shape in shape_names() if makes_lines(shape)] == ["line"]


@pytest.mark.parametrize("name", ["star", "", "Round", "stochastic"])
def test_there_is_no_spot_of_another_name(name: str) -> None:
    with pytest.raises(ValueError, match=f"'{name}' is no dot shape"):
        spot_of(name)


def test_no_halftone_has_a_shape_that_there_is_not() -> None:
    with pytest.raises(ValueError, match="no dot shape 'star'"):
        HalftoneSpec(ruling_lpcm=18, angle_deg=22.5, dot_shape="star", film_dpi=1440)
