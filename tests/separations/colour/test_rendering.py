"""White to white, black to black."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.input_problem import InputProblem
from separations.colour.rendering import wanted_lab

WOOD, DARK = np.array([74.0, 6.0, 26.0]), np.array([9.0, 1.0, 2.0])


def test_ends_meet() -> None:
    ends = wanted_lab(np.array([[100.0, 0.0, 0.0], [0.0, 0.0, 0.0]]), WOOD, DARK, "paper-relative")
    assert np.allclose(ends, [WOOD, DARK], atol=0.05)


def test_greys_stay_in_order_and_between_the_ends() -> None:
    greys = np.stack([np.linspace(0.0, 100.0, 21), np.zeros(21), np.zeros(21)], axis=1)
    light = wanted_lab(greys, WOOD, DARK, "paper-relative")[:, 0]
    assert (np.diff(light) > 0.0).all()


def test_absolute_leaves_colours_alone() -> None:
    lab = np.array([[50.0, 20.0, -30.0]])
    assert np.array_equal(wanted_lab(lab, WOOD, DARK, "absolute"), lab)


def test_unknown_rendering_is_told() -> None:
    with pytest.raises(InputProblem) as told:
        wanted_lab(np.zeros((1, 3)), WOOD, DARK, "vivid")  # type: ignore[arg-type]
    assert told.value.sentence == ("rendering: found 'vivid'; paper-relative or absolute or "
                                   "keep-saturation would do.")
