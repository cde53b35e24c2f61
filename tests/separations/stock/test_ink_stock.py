"""A stock list: what is read, and every fault as one sentence."""

from __future__ import annotations

from pathlib import Path

import pytest

from preflight.input_problem import InputProblem
from preflight.units import temperature
from separations.stock.ink_stock import read_stock

ROOT = Path(__file__).parents[3]
GOOD = """
name = "Top shelf"
[[ink]]
name = "Sun"
colour = "process yellow"
heat_limit = "140 °C"
[[ink]]
name = "Rust"
over_white = [45, 40, 40]
over_black = [12, 8, 8]
density = 1.3
"""


def _stock(folder: Path, text: str) -> Path:
    path = folder / "shelf.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_stock_list_is_read(tmp_path: Path) -> None:
    stock = read_stock(_stock(tmp_path, GOOD))
    sun, rust = stock.ink
    assert stock.name == "Top shelf"
    assert sun.heat_limit == temperature("140 °C")
    assert rust.density == 1.3
    yellow, brown = stock.solids()
    assert yellow.name == "yellow"
    assert brown.lab == (45.0, 40.0, 40.0)
    assert brown.lab_over_black == (12.0, 8.0, 8.0)


def test_two_tins_of_one_named_colour_have_different_names(tmp_path: Path) -> None:
    text = GOOD + '[[ink]]\nname = "Sun, old tin"\ncolour = "process yellow"\n'
    names = [colour.name for colour in read_stock(_stock(tmp_path, text)).solids()]
    assert names == ["yellow", "Rust", "Sun, old tin (3)"]


@pytest.mark.parametrize(("old", "new", "fault"), [
    ("heat_limit", "heat_limt", "ink[1].heat_limt: found the unknown key 'heat_limt'; 'heat_limit' "
     "would do."),
    ('name = "Top shelf"', 'nmae = "Top shelf"', "nmae: found the unknown key 'nmae'; 'name' would "
     "do."),
    ('name = "Rust"', "", "ink[2].name: found nothing; a value for 'name' would do."),
    ("density = 1.3", "density = 13", "ink[2].density: found 13; a density in g/ml such as 1.25, "
     "between 0.5 and 5, would do."),
    ("[45, 40, 40]", "[145, 40, 40]", "ink[2].over_white: found [145, 40, 40]; a CIELAB colour "
     "(D50, 2°) such as [74, 6, 26], L* 0 to 100, a* and b* -128 to 128, would do."),
    ('"process yellow"', '"proces yellow"', "ink[1].colour: found 'proces yellow'; "
     "'process yellow' would do."),
    ('colour = "process yellow"', "", "ink[1]: found no colour; 'colour' alone, "
     "or 'over_white' with at most one of 'over_black' and 'opacity', would do."),
    ("density = 1.3", "opacity = 0.3", "ink[2]: found its colour given in several ways; 'colour' "
     "alone, or 'over_white' with at most one of 'over_black' and 'opacity', would do."),
    ('heat_limit = "140 °C"', "opacity = 0.3", "ink[1]: found its colour given in several ways; "
     "'colour' alone, or 'over_white' with at most one of 'over_black' and 'opacity', would do."),
    ('"Rust"', '"sun"',
     "ink[2].name: found 'sun' named twice; another name for each ink would do."),
])
def test_a_fault_is_one_sentence_with_its_key(
        tmp_path: Path, old: str, new: str, fault: str) -> None:
    assert old in GOOD
    path = _stock(tmp_path, GOOD.replace(old, new))
    with pytest.raises(InputProblem) as caught:
        read_stock(path)
    assert caught.value.sentence == f"{path}: {fault}"


@pytest.mark.parametrize(("text", "found"), [
    ('name = "Empty"\nink = []\n', "0 inks"),
    ('name = "One"\nink = 3\n', "found 3; tables headed [[ink]]"),
    ("name = \n", "a line that is not TOML"),
])
def test_a_list_without_inks_is_refused(tmp_path: Path, text: str, found: str) -> None:
    with pytest.raises(InputProblem, match=r"shelf\.toml") as caught:
        read_stock(_stock(tmp_path, text))
    assert found in caught.value.sentence


def test_a_missing_list_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputProblem, match="no such file"):
        read_stock(tmp_path / "none.toml")


def test_the_demo_stock_holds_the_process_four_and_an_opaque_white() -> None:
    stock = read_stock(ROOT / "demo_art" / "fen_lane_stock.toml")
    colours = {ink.colour for ink in stock.ink}
    assert {"process yellow", "process magenta", "process cyan", "process black",
            "opaque white"} <= colours
    assert len({colour.name for colour in stock.solids()}) == len(stock.ink)
