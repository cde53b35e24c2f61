"""Mends in a job's text: comments, order and blank lines stay, and the text reads as meant."""

from __future__ import annotations

import tomllib

from hypothesis import given
from hypothesis import strategies as st

from preflight.mends.mend import Mend
from preflight.mends.mended_text import mended_text

TEXT = """# The artist's own words.
title = "Reeds"   # not to be changed

[halftone]
ruling = "110 lpi"    # as fine as can be

# The photo first.
[[art]]
file = "a.png"
turn = 90             # right end at the nose

# Then the lines.
[[art]]
file = "b.png"

[[ink]]
name = "Sun"
angle = 45
[ink.mesh]
count = "120/cm"
"""


def mend(*path: str | int, before: str | float | None = None, after: str | float | bool = 1,
         why: str = "So.") -> Mend:
    return Mend(key_path=path, before=before, after=after, why=why)


def test_only_the_mended_lines_change() -> None:
    made = mended_text(TEXT, [
        mend("halftone", "ruling", before="110 lpi", after="81 lpi", why="Too fine."),
        mend("art", 0, "fill_edges", after=True), mend("ink", 0, "angle", before=45, after=22.5),
        mend("separation", "trap", after="0.3 mm")], "reeds.toml")
    lines = made.split("\n")
    assert lines[0] == ("# Mended by topsheet from reeds.toml: halftone.ruling, art[1].fill_edges, "
                        "ink[1].angle, separation.trap.")
    assert 'ruling = "81 lpi" # as fine as can be (mended, was "110 lpi": Too fine.)' in lines
    assert "angle = 22.5 # mended, was 45: So." in lines
    assert lines[lines.index("fill_edges = true # mended, was left out: So.") - 1].startswith(
        "turn = 90 ")
    kept = [line for line in TEXT.split("\n") if not line.startswith(("ruling", "angle"))]
    assert [line for line in lines if line in kept][:len(kept) - 1] == kept[:-1]
    read = tomllib.loads(made)
    assert read["halftone"]["ruling"] == "81 lpi"
    assert read["art"][0]["fill_edges"] is True
    assert "fill_edges" not in read["art"][1]
    assert read["ink"][0] == {"name": "Sun", "angle": 22.5, "mesh": {"count": "120/cm"}}
    assert read["separation"] == {"trap": "0.3 mm"}


@given(st.text(max_size=60), st.text(max_size=30))
def test_no_reason_can_become_a_key(why: str, former: str) -> None:
    made = mended_text(TEXT, [mend("ink", 0, "angle", before=45, after=7.5, why=why)], former)
    read, meant = tomllib.loads(made), tomllib.loads(TEXT)
    meant["ink"][0]["angle"] = 7.5
    assert read == meant


def test_inline_tables_are_mended_in_place() -> None:
    text = 'ink = [{ name = "Sun", angle = 45 }]\n'
    made = mended_text(text, [mend("ink", 0, "angle", before=45, after=7.5)], "x.toml")
    assert tomllib.loads(made) == {"ink": [{"name": "Sun", "angle": 7.5}]}
