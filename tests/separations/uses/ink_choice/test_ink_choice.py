"""Choosing inks: as good as trying all sets, steady, and whole from job to page."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from preflight.input_problem import InputProblem
from separations.colour.colorimetry import colour_difference
from separations.colour.ink_colours import InkColour, print_model, process_ink, spot_ink
from separations.colour.tone_curve import PUBLISHED_SCREEN_CURVE
from separations.pipeline.calls import run_job
from separations.stock.ink_stock import read_stock
from separations.uses.ink_choice.ink_choice import choose_sets, inks_worth_a_screen
from separations.uses.ink_choice.ink_choice_run import choose_inks, reference_ends
from separations.uses.ink_choice.ink_set_models import SetModels, print_order
from separations.uses.ink_choice.ink_set_score import nearest_tones_anywhere, score_of, set_score
from separations.uses.ink_choice.photo_colours import (
    WeightedColours,
    nearest_rows,
    representative_colours,
)
from tests.colour_samples import BAMBOO_LAB

STOCK = Path(__file__).parents[4] / "demo_art" / "fen_lane_stock.toml"
LIMIT = 2.6


def _models(inks: list[InkColour]) -> SetModels:
    return SetModels(wood_lab=BAMBOO_LAB, inks=tuple(inks[i] for i in print_order(inks)),
                     curve=PUBLISHED_SCREEN_CURVE)


def _twelve() -> SetModels:
    return _models(list(read_stock(STOCK).solids()[:12]))


def _colours(count: int, seed: int = 5) -> WeightedColours:
    chance = np.random.default_rng(seed)
    lab = np.column_stack([chance.uniform(20, 85, 2000), chance.normal(4, 20, 2000),
                           chance.normal(12, 22, 2000)])
    return representative_colours(
        WeightedColours(lab=lab, shares=np.full(len(lab), 1 / len(lab))), count)


def _picture_of(models: SetModels, places: tuple[int, ...]) -> WeightedColours:
    """Colours that these inks print themselves."""
    chance = np.random.default_rng(9)
    tones = chance.uniform(0, 1, (60, len(places)))
    tones *= np.minimum(1, LIMIT / tones.sum(axis=1, keepdims=True))
    return WeightedColours(lab=models.model(places).predict_lab(tones), shares=np.full(60, 1 / 60))


def test_up_to_three_of_twelve_inks_are_within_two_percent_of_trying_all_sets() -> None:
    models, colours = _twelve(), _colours(30)

    def thorough(places: tuple[int, ...]) -> float:
        model = models.model(places)
        tones = nearest_tones_anywhere(model, colours.lab, LIMIT, 20)
        return set_score(model, colours, tones).score

    for count, chosen in enumerate(choose_sets(models, colours, LIMIT, 3), 1):
        best = min(thorough(places) for places in combinations(range(12), count))
        assert thorough(chosen.places) <= 1.02 * best
        assert chosen.score.score <= 1.02 * best


def test_the_inks_that_a_picture_was_printed_with_are_found() -> None:
    models = _twelve()
    names = [ink.name for ink in models.inks]
    places = tuple(sorted(names.index(name) for name in ("yellow", "pine green", "night blue")))
    chosen = choose_sets(models, _picture_of(models, places), LIMIT, 3)
    assert chosen[2].places == places
    assert chosen[2].score.mean_de00 < 0.05


def test_one_more_ink_never_prints_worse() -> None:
    scores = [one.score.score for one in choose_sets(_twelve(), _colours(40), LIMIT, 6)]
    assert all(more <= fewer + 0.01 for fewer, more in pairwise(scores))


def test_the_choice_is_the_same_every_time() -> None:
    first, second = (choose_sets(_twelve(), _colours(40), LIMIT, 3) for _ in range(2))
    for one, other in zip(first, second, strict=True):
        assert one.places == other.places
        assert one.score == other.score
        assert np.array_equal(one.tones, other.tones)


def test_the_sum_of_tones_keeps_its_limit() -> None:
    for one in choose_sets(_twelve(), _colours(40), 1.4, 4):
        assert one.tones.sum(axis=1).max() <= 1.4 + 1e-9
        assert 0 <= one.tones.min() <= one.tones.max() <= 1


def test_no_more_inks_are_chosen_than_there_are() -> None:
    models = _models([process_ink("cyan"), spot_ink("ember red")])
    assert len(choose_sets(models, _colours(20), LIMIT, 6)) == 2


@pytest.mark.parametrize("gone", range(5))
def test_a_model_taken_out_of_a_larger_one_is_the_one_built_for_it(gone: int) -> None:
    inks = [spot_ink("opaque white"), *(process_ink(n) for n in ("yellow", "magenta", "cyan")),
            process_ink("black")]
    models = _models(inks)
    union = tuple(range(5))
    places = tuple(place for place in union if place != gone)
    taken = models.model_within(places, union)
    built = print_model(BAMBOO_LAB, [models.inks[place] for place in places],
                        tone_curves=[PUBLISHED_SCREEN_CURVE] * 4)
    assert taken.ink_names == built.ink_names
    np.testing.assert_allclose(taken.primaries_rgb, built.primaries_rgb, rtol=1e-12)
    np.testing.assert_array_equal(taken.measured, built.measured)
    np.testing.assert_array_equal(taken.curves, built.curves)


def test_opaque_inks_print_first_then_light_to_dark() -> None:
    inks = [process_ink("black"), process_ink("yellow"), spot_ink("silver grey"),
            spot_ink("opaque white"), process_ink("cyan")]
    assert [inks[i].name for i in print_order(inks)] == [
        "opaque white", "silver grey", "yellow", "cyan", "black"]


def test_the_reference_ends_are_beyond_what_any_chosen_set_prints() -> None:
    models = _twelve()
    white, black = reference_ends(models, LIMIT)
    for one in choose_sets(models, _colours(30), LIMIT, 4):
        lightness = models.model(one.places).predict_lab(one.tones)[:, 0]
        assert lightness.max() <= white[0] + 0.5
        assert lightness.min() >= black[0] - 0.5


def test_the_worst_tenth_counts_part_of_the_colour_on_its_edge() -> None:
    found = score_of(np.array([1.0, 5.0, 20.0]), np.array([0.5, 0.46, 0.04]))
    assert found.mean_de00 == pytest.approx(0.5 + 2.3 + 0.8)
    assert found.tail_de00 == pytest.approx((0.04 * 20 + 0.06 * 5) / 0.1)
    assert found.score == pytest.approx(0.8 * found.mean_de00 + 0.2 * found.tail_de00)


@pytest.mark.parametrize(("means", "advised"), [
    ([9.0, 5.0, 2.0, 1.8, 1.7, 1.7], 3),
    ([9.0, 5.0, 4.9, 2.0, 1.9, 1.9], 4),
    ([9.0, 8.7, 8.5], 1),
    ([9.0, 8.0, 7.0], 3),
    ([9.0], 1),
])
def test_an_ink_is_worth_a_screen_while_it_or_those_after_it_gain_enough(
        means: list[float], advised: int) -> None:
    assert inks_worth_a_screen(means, 0.5) == advised


@given(st.integers(1, 40), st.integers(0, 50))
def test_representatives_keep_the_shares_and_the_mean(count: int, seed: int) -> None:
    chance = np.random.default_rng(seed)
    lab = chance.uniform(0, 90, (200, 3))
    shares = chance.uniform(0.1, 1, 200)
    all_of_them = WeightedColours(lab=lab, shares=shares / shares.sum())
    few = representative_colours(all_of_them, count)
    assert 1 <= len(few.lab) <= count
    assert few.shares.sum() == pytest.approx(1)
    np.testing.assert_allclose(few.shares @ few.lab, all_of_them.shares @ lab, atol=1e-9)
    rows, parts = nearest_rows(few, 8)
    assert len(rows) == len(parts) <= 8
    assert parts.sum() == pytest.approx(1)


def test_more_representatives_lie_nearer() -> None:
    lab = np.random.default_rng(2).uniform(0, 90, (3000, 3))
    whole = WeightedColours(lab=lab, shares=np.full(3000, 1 / 3000))

    def miss(count: int) -> float:
        few: NDArray[np.float64] = representative_colours(whole, count).lab
        return float(colour_difference(lab[:, None], few[None]).min(axis=1).mean())

    assert miss(120) < 0.75 * miss(30)


def test_a_whole_run_writes_page_and_tables(small_job: Callable[..., Path], tmp_path: Path) -> None:
    job = small_job(('title = "Marsh light"', 'title = "<b>Marsh</b> & light"'))
    stock = tmp_path / "shelf.toml"
    stock.write_text('name = "A & <B>"\n'
                     '[[ink]]\nname = "<i>Sun</i>"\ncolour = "process yellow"\n'
                     '[[ink]]\nname = "=Sea"\ncolour = "lake blue"\nuse_by = 2026-11-24\n'
                     '[[ink]]\nname = "Candle"\ncolour = "ember red"\nheat_limit = "60 °C"\n',
                     encoding="utf-8")
    out = tmp_path / "chosen"
    choice = choose_inks(job, stock, out, most=3)
    assert [len(one.inks) for one in choice.sets] == [1, 2]
    assert choice.too_cool == ("Candle",)
    page = (out / "inks.html").read_text(encoding="utf-8")
    assert "&lt;i&gt;Sun&lt;/i&gt;" in page
    assert "A &amp; &lt;B&gt;" in page
    assert "<i>" not in page
    assert "<b>" not in page
    assert page.count("<img") == 2
    assert choice.past_told.startswith("Past its use-by date on 2026-11-25: =Sea (2026-11-24). ")
    assert "Past its use-by date on 2026-11-25" in page
    tree = json.loads((out / "inks.json").read_text(encoding="utf-8"))
    assert tree["advised_inks"] == choice.advised
    assert [one["mean_de00"] for one in tree["sets"]] == [
        round(one.score.mean_de00, 4) for one in choice.sets]
    rows = (out / "inks.csv").read_text(encoding="utf-8").splitlines()
    assert len(rows) == 1 + 1 + 2
    assert not any("," + "=Sea" in row for row in rows)
    # what the search promises for the advised set comes out of a real separation
    advised = choice.sets[choice.advised - 1]
    assert advised.separated_de00 == pytest.approx(advised.score.mean_de00, rel=0.15, abs=0.5)


def test_a_job_without_a_photograph_is_refused_and_nothing_is_written(
        small_job: Callable[..., Path], tmp_path: Path) -> None:
    job = small_job(('file = "photo.png"\nturn = 90',
                     'file = "lines.png"\nkind = "line"\nink = "Cyan"'))
    with pytest.raises(InputProblem, match="no photograph on the printed area"):
        choose_inks(job, STOCK, tmp_path / "chosen", most=1)
    assert not (tmp_path / "chosen").exists()


def test_ink_that_hides_nothing_and_one_that_hides_all_are_told_apart() -> None:
    clear = spot_ink("lake blue")
    hiding = replace(clear, name="hiding", opacity=0.9)
    assert print_order([clear, hiding]) == (1, 0)


@pytest.mark.long
def test_the_mean_in_a_sets_own_report_is_the_one_that_the_report_gives(
        small_job: Callable[..., Path], tmp_path: Path) -> None:
    stock = tmp_path / "shelf.toml"
    colours = {"Sun": "process yellow", "Sea": "lake blue", "Ember": "ember red"}
    stock.write_text('name = "Shelf"\n' + "".join(
        f'[[ink]]\nname = "{name}"\ncolour = "{colour}"\n' for name, colour in colours.items()),
        encoding="utf-8")
    job = small_job()
    choice = choose_inks(job, stock, tmp_path / "chosen", most=3)
    tables = "".join(
        f'[[ink]]\nname = "{ink.name}"\ncolour = "{ink.colour}"\nangle = {angle}\n'
        'heat_limit = "140 °C"\n' for ink, angle in zip(choice.sets[-1].inks, (7.5, 22.5, 52.5),
                                                        strict=True))
    text = job.read_text(encoding="utf-8").replace('\nblack_ink = "Black"', "")
    job.write_text(text[:text.index("[[ink]]")].replace('ink = "Black"', 'ink = "Sea"') + tables,
                   encoding="utf-8")
    told = run_job(job, tmp_path / "out", despite_stops=True).colour
    assert told is not None
    assert told.mean_de00 > 5
    assert told.mean_de00 == pytest.approx(choice.sets[-1].own_de00, rel=0.02)
