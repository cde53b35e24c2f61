"""What a print is asked for: greys, white, black, hue, and what is out of reach."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.input_problem import InputProblem
from separations.colour.colorimetry import colour_difference
from separations.colour.ink_colours import print_model, process_ink, spot_ink
from separations.colour.inversion import end_colours, seed_tones
from separations.colour.print_model import PrintModel
from separations.colour.rendering import RenderedColours, rendered_colours
from tests.colour_samples import BAMBOO_LAB, PROCESS_INK_NAMES, srgb_to_lab

PROCESS = print_model(BAMBOO_LAB, [process_ink(name) for name in PROCESS_INK_NAMES])
GREYS = np.column_stack([np.linspace(0.0, 100.0, 101), np.zeros((101, 2))])


def rendered(lab: np.ndarray, model: PrintModel = PROCESS, *, adaptation: float = 0.5,
             rendering: str = "balanced") -> RenderedColours:
    ends = end_colours(seed_tones(model, 2.6))
    return rendered_colours(lab, model, 2.6, ends, adaptation=adaptation, rendering=rendering)


def test_white_is_the_wood_and_black_the_darkest() -> None:
    ends = end_colours(seed_tones(PROCESS, 2.6))
    wanted = rendered(GREYS[[100, 0]]).wanted_lab
    assert np.abs(wanted - np.array(ends)).max() < 0.1


@pytest.mark.parametrize("adaptation", [0.0, 0.5, 1.0])
def test_greys_keep_the_hue_of_the_wood_and_rise(adaptation: float) -> None:
    lab = rendered(GREYS, adaptation=adaptation).wanted_lab
    assert (np.diff(lab[:, 0]) > 0.0).all()
    chroma, hue = np.hypot(lab[:, 1], lab[:, 2]), np.degrees(np.arctan2(lab[:, 2], lab[:, 1]))
    wood = np.degrees(np.arctan2(BAMBOO_LAB[2], BAMBOO_LAB[1]))
    coloured = (chroma > 3.0) & (GREYS[:, 0] > 8.0)
    assert np.abs(hue - wood)[coloured].max() < 8.0


def test_less_adaptation_prints_cooler_greys() -> None:
    blues = [rendered(GREYS[[50]], adaptation=each).wanted_lab[0, 2] for each in (0.0, 0.5, 1.0)]
    assert blues[0] + 3.0 < blues[1] < blues[2] - 3.0


def test_what_is_within_reach_is_aimed_at_itself() -> None:
    dull = srgb_to_lab(np.array([[0.5, 0.42, 0.36], [0.3, 0.35, 0.3]]))
    found = rendered(dull)
    assert colour_difference(found.wanted_lab, found.aimed_lab).max() < 0.05


def test_strong_blues_keep_hue_and_darken_more_to_keep_colour() -> None:
    sky = srgb_to_lab(np.array([[0.35, 0.6, 0.95]]))
    balanced, colour = (rendered(sky, rendering=each).wanted_lab[0]
                        for each in ("balanced", "keep-colour"))
    assert colour[0] < balanced[0] - 2.0
    assert colour[2] < balanced[2] - 2.0  # bluer


def test_a_single_ink_gives_its_whole_range_in_proportion() -> None:
    ink = print_model(BAMBOO_LAB, [spot_ink("lake blue")])
    wanted = rendered(GREYS[[0, 50, 100]], ink).wanted_lab
    solid = ink.primaries_lab[1]
    assert np.abs(wanted[0] - solid).max() < 0.01
    assert np.isclose(wanted[1, 0], 0.5 * (solid[0] + BAMBOO_LAB[0]))


def test_inks_that_do_not_reach_round_the_greys_are_told() -> None:
    model = print_model(BAMBOO_LAB, [spot_ink(name) for name in ("sun orange", "soot black")])
    assert not rendered(GREYS, model).within_reach
    assert rendered(GREYS).within_reach


def test_unknown_rendering_is_told() -> None:
    with pytest.raises(InputProblem) as told:
        rendered(GREYS, rendering="vivid")
    assert told.value.sentence == (
        "rendering: found 'vivid'; balanced or keep-colour would do.")
