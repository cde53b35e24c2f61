"""A job file's text edited key by key: it says what was asked, and keeps all else as it was."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from preflight.input_problem import InputProblem
from preflight.job_file.edited_text import (
    with_key,
    with_table,
    with_table_moved,
    without_key,
    without_table,
)

TEXT = """# Head.
title = "Estuary"   # its name

[board]
name = "Plank"

# The pictures.
[[art]]
file = "a.jpg"      # the first
turn = 90

# Lines over it.
[[art]]
file = "b.png"
kind = "line"

[[ink]]
name = "Yellow"
[ink.mesh]
count = "120/cm"

# Dark.
[[ink]]
name = "Black"
"""


def comments(text: str) -> list[str]:
    return [line[line.index("#"):] for line in text.split("\n") if "#" in line]


def test_a_key_is_set_in_its_place_and_its_comment_stays() -> None:
    text = with_key(TEXT, ("art", 0, "file"), "c.jpg")
    assert text == TEXT.replace('"a.jpg"', '"c.jpg"')
    assert with_key(text, ("art", 0, "file"), "a.jpg") == TEXT


def test_a_new_key_stands_after_its_table_s_last_and_before_the_next_one_s_comment() -> None:
    text = with_key(TEXT, ("art", 0, "offset_along"), "3 mm")
    assert "turn = 90\noffset_along = \"3 mm\"\n\n# Lines over it." in text
    assert comments(text) == comments(TEXT)
    assert with_key(TEXT, ("separation", "trap"), "1 mm").endswith(
        '[separation]\ntrap = "1 mm"\n')


@pytest.mark.parametrize(("value", "written"), [
    (90.0, "90"), (90.5, "90.5"), (True, "true"), ("say \"so\"", '"say \\"so\\""'),
    (["4 mm", "2 mm"], '["4 mm", "2 mm"]')])
def test_values_are_written_plainly(value: Any, written: str) -> None:
    assert f"key = {written}\n" in with_key(TEXT, ("art", 0, "key"), value)


def test_a_list_of_many_points_has_a_line_for_each() -> None:
    points = [[f"{n} mm", "0 mm"] for n in range(6)]
    text = with_table(TEXT, "line", {"points": points, "ink": "Black"})
    assert '    ["5 mm", "0 mm"],\n' in text
    assert tomllib.loads(text)["line"] == [{"points": points, "ink": "Black"}]


@pytest.mark.parametrize("value", [
    '[\n    ["1 mm", "2 mm"],\n    ["3 mm", "4 mm"],  # [[line]]\n]',
    '"""\n[[line]]\n[ink]\n"""', "'''\n[[line]]\n]]]'''", '"[[line]]"  # ]'])
def test_what_looks_like_a_table_within_a_value_is_none(value: str) -> None:
    lines = [f"[[line]]\npoints = {value}\nwidth = {n}\n" for n in (0, 1, 2)]
    text = "\n".join(lines)
    more = with_table(text, "line", {"points": "x"})
    assert more == text + "\n[[line]]\npoints = \"x\"\n"
    assert without_table(more, "line", 3) == text
    assert without_table(text, "line", 1) == "\n".join([lines[0], lines[2]])
    assert with_table_moved(text, "line", 2, 0) == "\n".join([lines[2], lines[0], lines[1]])


def test_tables_are_added_taken_out_and_moved_and_comments_stay() -> None:
    more = with_table(TEXT, "note", {"text": "Weir", "ink": "Black"})
    assert more.index("[[note]]") < more.index("[[ink]]")
    assert without_table(more, "note", 0) == TEXT
    assert without_table(with_table(TEXT, "art", {"file": "c.jpg"}), "art", 2) == TEXT
    assert comments(without_table(TEXT, "art", 0)) == [
        c for c in comments(TEXT) if c != "# the first"]
    moved = with_table_moved(TEXT, "ink", 0, 1)
    assert [ink["name"] for ink in tomllib.loads(moved)["ink"]] == ["Black", "Yellow"]
    assert with_table_moved(moved, "ink", 1, 0) == TEXT


def test_a_key_is_taken_out() -> None:
    assert without_key(TEXT, ("art", 0, "turn")) == TEXT.replace("turn = 90\n", "")
    assert without_key(TEXT, ("art", 0, "flip")) == TEXT


@pytest.mark.parametrize("edit", [
    lambda t: with_key(t, ("art", 5, "turn"), 1), lambda t: with_key(t, ("title", "turn"), 1),
    lambda t: without_key(t, ("board",)), lambda t: without_table(t, "art", 2),
    lambda t: without_table(t, "note", 0), lambda t: with_table_moved(t, "ink", 0, 2)])
def test_places_that_are_not_there_are_refused(edit: Any) -> None:
    with pytest.raises(InputProblem, match="no such place"):
        edit(TEXT)


@pytest.mark.parametrize("text", [
    'note = [{ text = "a" }, { text = "b" }]\n',
    'title = """\n[[note]]\n"""\n[[note]]\ntext = "a"\n',
    "[ [note] ]\n"])
def test_text_that_is_written_another_way_is_never_spoilt(text: str) -> None:
    try:
        before = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    try:
        after = tomllib.loads(without_table(text, "note", 0))
    except InputProblem:
        return
    assert after.get("note", []) == before["note"][1:]
    assert {k: v for k, v in after.items() if k != "note"} == {
        k: v for k, v in before.items() if k != "note"}


_STEPS = st.lists(st.tuples(st.sampled_from(["set", "unset", "add", "remove", "move"]),
                            st.integers(0, 3), st.integers(0, 3),
                            st.sampled_from(["turn", "file", "ink", "offset_along"]),
                            st.one_of(st.booleans(), st.integers(-9, 9), st.text(max_size=6))),
                  max_size=8)


@given(_STEPS)
def test_any_run_of_edits_says_what_the_same_edits_of_tables_say(
        steps: list[tuple[str, int, int, str, Any]]) -> None:
    text = Path("demo_art/fen_lane_158.toml").read_text(encoding="utf-8")
    tables = tomllib.loads(text)
    lead = [c for c in comments(text) if c.startswith("# ")]
    for kind, at, to, key, value in steps:
        art = tables["art"]
        try:
            if kind == "set":
                text = with_key(text, ("art", at, key), value)
                art[at][key] = value
            elif kind == "unset" and at < len(art):
                text = without_key(text, ("art", at, key))
                art[at].pop(key, None)
            elif kind == "add":
                text = with_table(text, "art", {key: value}, at)
                art.insert(min(at, len(art)), {key: value})
            elif kind == "remove" and len(art) > 1:
                text = without_table(text, "art", at)
                del art[at]
            elif kind == "move":
                text = with_table_moved(text, "art", at, to)
                art.insert(to, art.pop(at))
        except InputProblem:
            assert max(at, to) >= len(art)
        assert tomllib.loads(text) == tables
    kept = comments(text)
    assert [c for c in lead if c in kept or c.startswith("# the photo's")] == lead
