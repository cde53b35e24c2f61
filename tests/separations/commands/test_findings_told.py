"""Findings on the terminal: gravest first, each with its place and what mends it."""

from __future__ import annotations

import pytest

from preflight.basis import Basis, Source
from preflight.findings import Figure, Finding, Grade, Place
from separations.commands.terminal import tell_despite, tell_findings


def finding(grade: Grade, place: Place | None = None, mend: str = "") -> Finding:
    return Finding(id="edge", check="Edge", subjects=("lines.png",), grade=grade,
                   says=f"This is a {grade.value}.", measured=Figure(value=1, unit="mm"),
                   limit=Figure(value=2, unit="mm"),
                   source=Source(basis=Basis.OWN), place=place, mend=mend)


def test_place_and_mend_stand_below_what_is_wrong(capsys: pytest.CaptureFixture[str]) -> None:
    place = Place(least_x_mm=10, least_y_mm=-4, greatest_x_mm=30, greatest_y_mm=4)
    with pytest.raises(SystemExit) as leave:
        tell_findings((finding(Grade.NOTE), finding(Grade.CLEAR),
                       finding(Grade.STOP, place, "Move\nit.")))
    assert leave.value.code == 1
    assert capsys.readouterr().out.splitlines() == [
        "stop  Edge, lines.png: This is a stop.",
        "      where: 20 mm towards the nose, on the centre line",
        "      mend: Move it.",
        "note  Edge, lines.png: This is a note.",
        "1 of 3 checks passed.",
    ]


def test_films_made_despite_stops_are_told_in_red(
        capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    tell_despite((finding(Grade.CARE),))
    assert capsys.readouterr().out == ""
    monkeypatch.setattr("click.utils.should_strip_ansi", lambda *_: False)
    tell_despite((finding(Grade.STOP), finding(Grade.STOP)))
    assert capsys.readouterr().out == (
        "\x1b[31mThe films were made despite 2 stops, as their labels say.\x1b[0m\n")
