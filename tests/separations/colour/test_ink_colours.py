"""Inks by name, and the model of a set of them."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.basis import Basis
from preflight.input_problem import InputProblem
from preflight.job_file.job import INVENTED_WOOD_LAB
from separations.colour.colorimetry import colour_difference
from separations.colour.ink_colours import InkColour, print_model, process_ink, spot_ink
from separations.colour.ink_figures import ink_figures
from separations.colour.tone_curve import PUBLISHED_SCREEN_CURVE
from tests.colour_samples import BAMBOO_LAB, PROCESS_INK_NAMES

PAPER = (95.0, 0.0, -2.0)
PROCESS = [process_ink(name) for name in PROCESS_INK_NAMES]


def test_every_row_says_where_it_comes_from() -> None:
    figures = ink_figures()
    for table in (figures.substrates, figures.process_solids, figures.spot_solids):
        assert all("FOGRA39L" in row.source.told or row.source.basis is Basis.INVENTED
                   for row in table.values())
    assert all(row.source.basis is Basis.INVENTED for row in figures.spot_solids.values())
    assert figures.substrates["bamboo"].lab == INVENTED_WOOD_LAB
    assert len(figures.process_overprints) == 11


def test_on_their_own_paper_process_inks_are_measured() -> None:
    model = print_model(PAPER, PROCESS)
    assert model.measured.all()
    assert model.primaries_lab[0b0011] == pytest.approx(np.array([24.0, 22.0, -46.0]), abs=0.01)


def test_on_bamboo_everything_but_the_wood_is_an_estimate() -> None:
    model = print_model(BAMBOO_LAB, PROCESS)
    assert model.measured.tolist() == [True] + [False] * 15
    assert (model.primaries_lab[1:, 0] < BAMBOO_LAB[0]).all()
    # the wood's yellow shows through: cyan turns greener, magenta redder
    assert model.primaries_lab[0b0001, 2] > PROCESS[0].lab[2] + 10.0
    assert model.primaries_lab[0b0010, 2] > PROCESS[1].lab[2] + 10.0


def test_a_measured_overprint_on_this_wood_stands() -> None:
    told = {frozenset({"cyan"}): (42.0, -30.0, -20.0),
            frozenset({"cyan", "black"}): (9.0, 0.0, 0.0)}
    model = print_model(BAMBOO_LAB, PROCESS, measured_overprints=told)
    assert model.primaries_lab[0b0001] == pytest.approx(np.array([42.0, -30.0, -20.0]), abs=1e-6)
    assert model.measured[[0b0001, 0b1001]].all()
    assert not model.measured[0b0010]


def test_more_ink_is_darker_and_an_ink_darkens_steadily() -> None:
    ramp = np.linspace(0.0, 1.0, 41)[:, None]
    for ink in (*PROCESS, spot_ink("ember red")):
        light = print_model(BAMBOO_LAB, [ink]).predict_lab(ramp)[:, 0]
        assert (np.diff(light) < 0.0).all()
        heavy = print_model(BAMBOO_LAB, [ink], volume_scale=[1.4]).predict_lab(ramp)[:, 0]
        assert (heavy[1:] < light[1:]).all()


def test_a_tone_curve_stands_in_front() -> None:
    plain = print_model(BAMBOO_LAB, [PROCESS[3]])
    curved = print_model(BAMBOO_LAB, [PROCESS[3]], tone_curves=[PUBLISHED_SCREEN_CURVE])
    assert colour_difference(curved.predict_lab([0.69]), plain.predict_lab([0.84])) < 0.05


def test_white_first_brings_back_blue() -> None:
    white = spot_ink("opaque white")
    labs = print_model(BAMBOO_LAB, [white, process_ink("cyan")]).primaries_lab
    assert labs[0b01, 0] > BAMBOO_LAB[0] + 8.0
    assert labs[0b11, 2] < labs[0b10, 2] - 15.0


def test_opacity_and_a_reading_over_black_say_the_same() -> None:
    ink = InkColour(name="a", lab=(60.0, 10.0, 5.0), opacity=1.0)
    told = InkColour(name="a", lab=(60.0, 10.0, 5.0), lab_over_black=(60.0, 10.0, 5.0))
    assert np.allclose(print_model((20.0, 0.0, 0.0), [ink]).primaries_lab,
                       print_model((20.0, 0.0, 0.0), [told]).primaries_lab, atol=1e-6)
    assert print_model((20.0, 0.0, 0.0), [ink]).primaries_lab[1, 0] == pytest.approx(60.0, abs=1.0)


@pytest.mark.parametrize(("inks", "sentence"), [
    ([], "inks: found no ink; 1 to 8 inks with different names would do."),
    ([PROCESS[0]] * 2, "inks: found cyan, cyan; 1 to 8 inks with different names would do.")])
def test_sets_that_cannot_be(inks: list[InkColour], sentence: str) -> None:
    with pytest.raises(InputProblem) as told:
        print_model(BAMBOO_LAB, inks)
    assert told.value.sentence == sentence


def test_unknown_names_are_told() -> None:
    with pytest.raises(InputProblem) as told:
        process_ink("cian")
    assert told.value.sentence == ("process ink: found 'cian'; cyan or magenta or yellow or black "
                                   "would do.")
    with pytest.raises(InputProblem):
        spot_ink("cyan")
