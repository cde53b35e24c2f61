"""``topsheet keys`` and ``topsheet inks --known``."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from preflight.input_problem import InputProblem
from separations.command_line import topsheet


def _said(*words: str) -> str:
    result = CliRunner().invoke(topsheet, words)
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    assert result.exit_code == 0
    return result.output


def test_all_keys_are_told_by_table() -> None:
    said = _said("keys")
    for part in ("At the top, before any table", "[board]  (required)", "[[ink]]  (at least one)",
                 "  bleed  [8 mm]", "  inside_length  required", "  solids  [100 % uv, 40 % air]"):
        assert part in said
    assert max(map(len, said.splitlines())) <= 96


def test_a_table_or_a_key_is_told_alone() -> None:
    assert "[halftone]" not in _said("keys", "film")
    assert _said("keys", "[film]") == _said("keys", "film")
    turn = _said("keys", "turn")
    assert "[[art]]" in turn
    assert "[[note]]" in turn
    assert "[[art]]" not in _said("keys", "note.turn")
    assert "from_nose" in _said("keys", "--of", "gang")


def test_a_misspelt_name_gets_the_nearest() -> None:
    with pytest.raises(InputProblem, match="found 'rulling'; 'ruling' would do"):
        _said("keys", "rulling")
    with pytest.raises(InputProblem, match="topsheet keys --of stock lists them"):
        _said("keys", "zzz", "--of", "stock")


def test_the_schema_is_json() -> None:
    assert json.loads(_said("keys", "--schema"))["title"] == "topsheet job file"


def test_known_inks_say_what_they_rest_on() -> None:
    said = _said("inks", "--known")
    published, invented = said.split("\n\n")[1:]
    assert "process cyan" in published
    assert "FOGRA39L" in published
    assert "night blue" in invented
    assert "invented" in invented.splitlines()[0]
