"""Shaped letters against two other ways of setting the same words."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from fontTools.ttLib import TTFont
from PIL import Image, ImageDraw, ImageFont

from preflight.input_problem import InputProblem
from preflight.vector_art.lettering import SHIPPED_FONT, open_face, set_words

EM = 2048.0
#: Without pairs that one of the two kerns by the older of the font's two tables.
WORDS = ["nine hundred 312 m", "Höhe über Normal", "Кряж Ястреб", "Ακτή", "oooo", "12.5 °C"]


@pytest.mark.parametrize("words", WORDS)
def test_extents_are_those_of_another_layout(words: str) -> None:
    letters = set_words(words, open_face(), 512.0, where="")
    other = ImageFont.truetype(str(SHIPPED_FONT), 512, layout_engine=ImageFont.Layout.BASIC)
    picture = Image.new("L", (6000, 900))
    ImageDraw.Draw(picture).text((100, 600), words, fill=255, font=other, anchor="ls")
    left, top, right, bottom = picture.getbbox() or (0, 0, 0, 0)
    # The other kerns and rounds to whole pixels letter by letter.
    assert letters.advance == pytest.approx(other.getlength(words), abs=len(words))
    assert letters.area.bounds == pytest.approx(
        (left - 100, 600 - bottom, right - 100, 600 - top), abs=len(words))
    share = np.asarray(picture, float).sum() / 255
    assert letters.area.area == pytest.approx(share, rel=0.01)


@pytest.mark.parametrize("words", ["nnnn", "oooo", "312 m", "Кряж"])
def test_without_kerning_the_advance_is_the_sum_of_widths(words: str) -> None:
    with TTFont(SHIPPED_FONT) as font:
        names, widths = font.getBestCmap(), font["hmtx"]
        plain = sum(widths[names[ord(c)]][0] for c in words)
    assert set_words(words, open_face(), EM, where="").advance == pytest.approx(plain, rel=0.01)


def test_pairs_are_kerned_and_counters_open() -> None:
    face = open_face()
    one, other, both = (set_words(w, face, EM, where="").advance for w in ("A", "V", "AV"))
    assert both < one + other - 50
    assert len(set_words("o", face, EM, where="").area.interiors) == 1


def test_a_capital_has_the_height_that_is_told() -> None:
    face = open_face()
    high = set_words("H", face, 100.0, where="").area.bounds[3]
    assert high == pytest.approx(100 * face.cap_height_em, rel=1e-3)
    with TTFont(SHIPPED_FONT) as font:
        assert face.cap_height_em == pytest.approx(font["glyf"]["H"].yMax / 2048)


def test_blank_words_are_empty() -> None:
    assert set_words("   ", open_face(), EM, where="").area.is_empty


def test_a_missing_letter_is_named() -> None:
    with pytest.raises(InputProblem, match=r"note.*'竹' \(U\+7AF9\), which DejaVuSans.ttf"):
        set_words("bam竹boo", open_face(), EM, where="note[1].text")


def test_what_is_no_font(tmp_path: Path) -> None:
    (tmp_path / "x.ttf").write_bytes(b"\x00\x01\x00\x00\xff\xff" + b"\x00" * 300)
    for name in ("x.ttf", "none.ttf"):
        with pytest.raises(InputProblem):
            open_face(tmp_path / name)
