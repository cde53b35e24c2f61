"""What a print is asked for: greys, white, black, hue, and what is out of reach."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.input_problem import InputProblem
from separations.colour.colorimetry import colour_difference
from separations.colour.ink_colours import print_model, process_ink, spot_ink
from separations.colour.inversion import TonePreferences, end_colours, invert_direct, seed_tones
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


def test_shadows_keep_no_tint() -> None:
    """Of colours about as dark, black is the one on the way from the wood to neutral black."""
    seeds = seed_tones(PROCESS, 2.6)
    _, black = end_colours(seeds)
    darkest = seeds.lab[seeds.lab[:, 0].argmin()]
    assert black[0] <= darkest[0] + 1.0
    aside = [np.hypot(*(lab[1:] - np.array(BAMBOO_LAB[1:]) * lab[0] / BAMBOO_LAB[0]))
             for lab in (black, darkest)]
    assert aside[0] < 0.6 * aside[1]
    assert np.ptp(np.minimum.accumulate(rendered(GREYS).wanted_lab[::-1, 1])
                  - rendered(GREYS).wanted_lab[::-1, 1]) < 0.3


def test_three_inks_that_print_no_neutral_come_near_to_one() -> None:
    """Greys lose half of the wood's tint by middle lightness, and keep its hue."""
    model = print_model(BAMBOO_LAB, [spot_ink(name) for name in
                                     ("sun orange", "lake blue", "soot black")])
    seeds = seed_tones(model, 2.6)
    wanted = rendered(GREYS[40:96:5], model).aimed_lab
    found = model.predict_lab(invert_direct(model, wanted, TonePreferences(
        tone_sum_limit=2.6, black_ink=2, hue_weight=2.0), seeds=seeds))
    share = found[:, 2] / BAMBOO_LAB[2]
    assert share[0] < 0.5
    assert (np.diff(share) > 0.0).all()
    wood = np.degrees(np.arctan2(BAMBOO_LAB[2], BAMBOO_LAB[1]))
    assert np.abs(np.degrees(np.arctan2(found[:, 2], found[:, 1])) - wood).max() < 8.0


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
