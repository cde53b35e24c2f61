"""The label: legible, shortened, safe."""

from __future__ import annotations

from dataclasses import replace

from reportlab.pdfbase import pdfmetrics

from preflight.halftone_spec import HalftoneSpec
from separations.films.film_label import FilmLabel, label_lines, printable

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
    assert label_lines(long, SPEC, "right-reading", 400.0)[0].text.endswith("…")


def test_odd_characters_are_made_harmless() -> None:
    assert printable("a\nb\t\x07c ü 竹 \u202e", "Vera") == "a b ?c ü ? ?"
