"""The tabled inverse: limits, smoothness, honest round trips, preferences."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.input_problem import InputProblem
from separations.colour.colorimetry import colour_difference
from separations.colour.ink_colours import print_model, process_ink, spot_ink
from separations.colour.inversion import TonePreferences, invert_direct
from separations.colour.print_model import PrintModel
from separations.colour.tone_curve import PUBLISHED_SCREEN_CURVE
from separations.planes.ink_lattice import InkLattice, build_ink_lattice
from tests.colour_samples import BAMBOO_LAB, PROCESS_INK_NAMES, srgb_to_lab

PROCESS = [process_ink(name) for name in PROCESS_INK_NAMES]
SIX = [*PROCESS[:3], spot_ink("ember red"), spot_ink("pine green"), PROCESS[3]]
#: By number of inks: the inks, the tone sum limit and the place of black.
SETS = {1: ([spot_ink("soot black")], 1.0, None),
        2: ([spot_ink("night blue"), spot_ink("sun orange")], 1.6, None),
        3: (PROCESS[:3], 2.4, None),
        4: (PROCESS, 2.6, 3),
        5: ([spot_ink("opaque white"), *PROCESS], 3.0, 4),
        6: (SIX, 2.8, 5)}
Array = NDArray[np.float64]


def node_lab() -> Array:
    steps = np.linspace(0.0, 1.0, 33)
    return srgb_to_lab(np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1))


@cache
def model_of(inks: int) -> PrintModel:
    return print_model(BAMBOO_LAB, SETS[inks][0])


@cache
def lattice_of(inks: int, generation: float = 0.5) -> InkLattice:
    _, limit, black = SETS[inks]
    return build_ink_lattice(model_of(inks), node_lab(), tone_sum_limit=limit, black_ink=black,
                             black_generation=generation)


@pytest.mark.parametrize("inks", SETS)
def test_tone_sums_hold_at_every_node(inks: int) -> None:
    lattice = lattice_of(inks)
    assert lattice.nodes.dtype == np.uint16
    assert lattice.nodes.shape == (33, 33, 33, inks)
    sums = lattice.nodes.astype(np.int64).sum(axis=-1)
    assert sums.max() <= SETS[inks][1] * 65535
    # the limit is used, not merely kept
    assert sums.max() > 0.9 * min(SETS[inks][1], inks) * 65535 or inks == 5


@pytest.mark.parametrize("inks", SETS)
def test_neighbours_agree(inks: int) -> None:
    tones = lattice_of(inks).nodes / 65535.0
    steps = max(float(np.abs(np.diff(tones, axis=axis)).max()) for axis in range(3))
    assert steps <= (0.30 if inks <= 4 else 0.40)


@pytest.mark.parametrize("inks", [1, 2, 3, 4, 6])
def test_white_is_bare_wood_and_black_is_darkest(inks: int) -> None:
    lattice = lattice_of(inks)
    assert not lattice.nodes[-1, -1, -1].any()
    dark = model_of(inks).predict_lab(lattice.nodes[0, 0, 0] / 65535.0)
    legal = np.random.default_rng(1).random((4000, inks))
    legal *= np.minimum(1.0, SETS[inks][1] / legal.sum(axis=1, keepdims=True))
    assert dark[0] <= model_of(inks).predict_lab(legal)[:, 0].min() + 1.2


def test_white_ink_is_the_white_where_there_is_one() -> None:
    assert lattice_of(5).nodes[-1, -1, -1].tolist() == [65535, 0, 0, 0, 0]


@pytest.mark.parametrize("inks", [1, 3, 4, 5, 6])
def test_greys_darken_steadily(inks: int) -> None:
    line = np.arange(33)
    tones = lattice_of(inks).nodes[line, line, line] / 65535.0
    light = model_of(inks).predict_lab(tones)[:, 0]
    assert (np.diff(light) > 0.0).all()


def test_one_ink_rises_steadily_as_the_photograph_darkens() -> None:
    line = np.arange(33)
    tones = lattice_of(1).nodes[line, line, line, 0].astype(int)
    assert (np.diff(tones) < 0).all()
    assert tones[0] == 65535


@pytest.mark.parametrize("inks", [4, 6])
def test_greys_print_as_wanted(inks: int) -> None:
    line = np.arange(33)
    assert lattice_of(inks).node_difference[line, line, line].max() < (0.5 if inks == 4 else 1.0)


@pytest.mark.parametrize(("inks", "generation"), [(4, 0.0), (4, 0.5), (4, 1.0), (6, 0.5)])
def test_round_trip_of_printed_colours(inks: int, generation: float) -> None:
    """Every legal set of tones prints a colour that can be had again; none is left out."""
    _, limit, black = SETS[inks]
    tones = np.random.default_rng(inks).random((6000, inks))
    tones[:2000] *= np.random.default_rng(9).random((2000, inks)) > 0.5
    tones *= np.minimum(1.0, limit / np.maximum(tones.sum(axis=1, keepdims=True), 1e-9))
    wanted = model_of(inks).predict_lab(tones)
    found = invert_direct(model_of(inks), wanted, TonePreferences(
        tone_sum_limit=limit, black_ink=black, black_generation=generation))
    assert found.min() >= 0.0
    assert found.sum(axis=1).max() <= limit + 1e-9
    errors = colour_difference(model_of(inks).predict_lab(found), wanted)
    assert errors.mean() <= 0.15
    assert np.percentile(errors, 99.9) <= 0.5
    assert errors.max() <= 1.0


def test_no_legal_tones_come_nearer_than_the_search() -> None:
    """Out of reach, the search is no worse than the best of many random sets of tones.

    Up to 8 dE00; beyond, CIEDE2000 calls colours of another hue near if only they are dull,
    and the search keeps to the hue.
    """
    rng = np.random.default_rng(11)
    wanted = rng.uniform([15, -60, -60], [85, 60, 80], (150, 3))
    model, limit = model_of(4), 2.6
    found = invert_direct(model, wanted, TonePreferences(tone_sum_limit=limit))
    ours = colour_difference(model.predict_lab(found), wanted)
    many = np.clip(rng.random((60000, 4)) * 1.5 - 0.25, 0.0, 1.0)
    many *= np.minimum(1.0, limit / np.maximum(many.sum(axis=1, keepdims=True), 1e-9))
    printed = model.predict_lab(many)
    best = np.array([colour_difference(printed, colour).min() for colour in wanted])
    assert (ours <= best * 1.05 + 0.1)[best < 8.0].all()
    assert (best[best < 8.0] > 4.0).sum() > 10


def test_black_generation_trades_black_for_colour() -> None:
    line = np.arange(4, 29)
    blacks = [lattice_of(4, generation).nodes[line, line, line].astype(float) / 65535.0
              for generation in (0.0, 0.5, 1.0)]
    assert (blacks[0][:, 3] <= blacks[1][:, 3] + 0.01).all()
    assert (blacks[1][:, 3] <= blacks[2][:, 3] + 0.01).all()
    assert blacks[2][12, 3] > blacks[0][12, 3] + 0.15
    assert blacks[2].sum(axis=1).mean() < blacks[0].sum(axis=1).mean() - 0.3


def test_hue_is_kept_out_of_reach() -> None:
    lattice = lattice_of(4)
    out = (lattice.node_difference > 4.0) & (np.hypot(
        lattice.node_wanted_lab[..., 1], lattice.node_wanted_lab[..., 2]) > 30.0)
    printed = model_of(4).predict_lab(lattice.nodes[out] / 65535.0)
    wanted = lattice.node_wanted_lab[out]
    kept = np.hypot(printed[:, 1], printed[:, 2]) > 15.0
    turn = np.degrees(np.arctan2(printed[:, 2], printed[:, 1])
                      - np.arctan2(wanted[:, 2], wanted[:, 1]))[kept]
    turn = np.abs((turn + 180.0) % 360.0 - 180.0)
    assert out.sum() > 1000
    assert np.median(turn) < 10.0


def test_differences_say_what_prints() -> None:
    lattice = lattice_of(4)
    printed = model_of(4).predict_lab(lattice.nodes / 65535.0)
    errors = colour_difference(printed, lattice.node_wanted_lab)
    assert np.allclose(errors, lattice.node_difference, atol=0.01)
    assert 0.2 < (lattice.node_difference <= 1.0).mean() < 0.8


def test_renderings_differ_as_told() -> None:
    model = model_of(4)
    colour = build_ink_lattice(model, node_lab(), rendering="keep-colour", tone_sum_limit=2.6)
    sky = [model.predict_lab(each.nodes[14, 21, 30] / 65535.0) for each in (lattice_of(4), colour)]
    assert sky[1][0] < sky[0][0] - 2.0
    assert sky[1][2] < sky[0][2] - 2.0


def test_curves_in_front_change_films_not_prints() -> None:
    inks = SETS[4][0]
    curved = print_model(BAMBOO_LAB, inks, tone_curves=[PUBLISHED_SCREEN_CURVE] * 4)
    lattice = build_ink_lattice(curved, node_lab(), tone_sum_limit=2.6, black_ink=3)
    line = np.arange(33)
    assert np.percentile(lattice.node_difference[line, line, line], 90) < 1.0
    middle = slice(12, 22)
    plain = lattice_of(4).nodes[line, line, line][middle].astype(int).sum()
    assert lattice.nodes[line, line, line][middle].astype(int).sum() != plain


def test_lattices_are_the_same_every_time() -> None:
    again = build_ink_lattice(model_of(4), node_lab(), tone_sum_limit=2.6, black_ink=3)
    assert np.array_equal(again.nodes, lattice_of(4).nodes)


@pytest.mark.parametrize(("change", "sentence"), [
    ({"tone_sum_limit": 0.0}, "tone sum limit: found 0%; more than 0 % would do."),
    ({"black_ink": 4}, "black ink: found 4; the place of an ink, 0 to 3, or none would do."),
    ({"black_generation": 1.5}, "black generation: found 1.5; 0 to 1 would do.")])
def test_wishes_that_cannot_be(change: dict[str, float], sentence: str) -> None:
    asked: dict[str, Any] = {"tone_sum_limit": 2.6, **change}
    with pytest.raises(InputProblem) as told:
        build_ink_lattice(model_of(4), node_lab(), **asked)
    assert told.value.sentence == sentence
