"""The label: legible, shortened, safe."""

from __future__ import annotations

from dataclasses import replace

from reportlab.pdfbase import pdfmetrics

from preflight.press.halftone_spec import HalftoneSpec
from separations.films.film_label import (
    FilmLabel,
    label_height_pt,
    label_lines,
    lines_beyond,
    printable,
)
from separations.films.job_label import nose_words

SPEC = HalftoneSpec(ruling_lpcm=18, angle_deg=22.5, dot_shape="round", film_dpi=1440)


def test_it_says_what_the_operator_must_know(label: FilmLabel) -> None:
    text = " ".join(line.text for line in label_lines(label, SPEC, "right-reading", 900))
    for part in ("Film 2 of 4", "deep blue", "Ridge, first light", "Test plank", "mesh 120-34",
                 "45 lpi at 22.5°", "round dots", "1440 dpi", "scale 1:1",
                 "right-reading, emulsion up", "2026-03-01"):
        assert part in text
    mirrored = label_lines(label, SPEC, "mirrored", 900)[-1].text
    assert mirrored.startswith("MIRRORED: wrong-reading, emulsion up")


def test_every_line_is_at_least_eight_points_and_fits(label: FilmLabel) -> None:
    long = replace(label, job="a very long title " * 40, ink="ink " * 90)
    for width in (120.0, 400.0):
        for line in label_lines(long, SPEC, "right-reading", width):
            assert line.size_pt >= 8
            assert pdfmetrics.stringWidth(line.text, line.font, line.size_pt) <= width
    assert label_lines(long, SPEC, "right-reading", 400.0)[4].text.endswith("…")


def test_narrow_labels_are_wrapped_and_lose_no_fact(label: FilmLabel) -> None:
    full = replace(label, panel="panel 2 of 2", further=(
        "Film along: larger by 0.2 % (+0.62 mm over 310.0 mm)",
        "2 of 2 from the left · overlap 15 mm · crosses on crosses"))
    for width in (90.0, 133.0, 317.0, 900.0):
        lines = label_lines(full, SPEC, "right-reading", width)
        text = " ".join(line.text for line in lines)
        for fact in ("panel 2 of 2", "1440 dpi", "scale 1:1", "(+0.62 mm over 310.0 mm)",
                     "overlap 15 mm", "crosses on crosses", "2026-03-01", "45 lpi at 22.5°"):
            assert fact in text, width
        assert "…" not in text
        assert len({line.size_pt for line in lines if line.size_pt < 11}) == 1


def test_a_lower_room_takes_smaller_letters_and_then_shorter_titles(label: FilmLabel) -> None:
    named = replace(label, job="a very long title of a photograph " * 3)
    high = label_height_pt(label_lines(named, SPEC, "right-reading", 200.0))
    lower = label_lines(named, SPEC, "right-reading", 200.0, high - 15)
    assert label_height_pt(lower) <= high - 15
    assert lower[-1].size_pt < 10.0
    assert lower[-1].text.endswith("2026-03-01")


def test_lines_beyond_the_usual_are_counted(label: FilmLabel) -> None:
    wide, narrow = (label_height_pt(label_lines(label, SPEC, "right-reading", width))
                    for width in (900.0, 150.0))
    assert lines_beyond(wide) == 0
    assert lines_beyond(narrow) >= 2


def test_a_panels_title_carries_its_number(label: FilmLabel) -> None:
    assert label.title == "Ridge, first light: deep blue"
    assert replace(label, panel="panel 2 of 3").title == \
        "Ridge, first light: deep blue, panel 2 of 3"


def test_odd_characters_are_made_harmless() -> None:
    assert printable("a\nb\t\x07c ü 竹 \u202e", "Vera") == "a b ?c ü ? ?"


def test_films_made_despite_stops_say_so_in_the_head(label: FilmLabel) -> None:
    for stops, told in ((1, "MADE DESPITE 1 STOP"), (2, "MADE DESPITE 2 STOPS")):
        for width in (300.0, 900.0):
            lines = label_lines(replace(label, despite_stops=stops), SPEC, "right-reading", width)
            assert told in " ".join(line.text for line in lines[:3])
        assert told in nose_words(replace(label, despite_stops=stops))[0]
    assert "DESPITE" not in nose_words(label)[0]
    assert "DESPITE" not in " ".join(
        line.text for line in label_lines(label, SPEC, "right-reading", 900))
