"""What findings advise of a photo's size, crop and ruling, followed to the letter."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from preflight.checks.art_on_board import art_covers_the_area, photo_lies_along_the_board
from preflight.checks.detail import photo_has_pixels_enough
from preflight.facts.submission import Submission
from preflight.findings import Finding, Grade
from preflight.units import ruling
from tests.preflight.checks.test_checks import submission

Write = Callable[..., Path]
PHOTO = 'file = "photo.png"\nturn = 90'
CHECKS = (art_covers_the_area, photo_lies_along_the_board, photo_has_pixels_enough)


def findings(made: Submission) -> dict[str, Finding]:
    return {f.id: f for check in CHECKS for f in check(made) if f.subjects == ("photo.png",)}


def written(text: str, told: str) -> str:
    """The job's text with the keys that a piece of advice tells, and without those it takes out."""
    first, line = text.split("[[art]]", 2)[:2], text.split("[[art]]", 2)[2]
    table = dict(row.split(" = ", 1) for row in first[1].split("\n") if row)
    for key in re.findall(r"(?:take|without|in place of) (\w+)", told):
        table.pop(key, None)
    for one, other, value in re.findall(r'(\w+) and (\w+) to ("0 mm")', told):
        table |= {one: value, other: value}
    table |= dict(re.findall(r'(\w+) = ("[^"]+"|[\w.]+)', told))
    made = "\n".join(f"{key} = {value}" for key, value in table.items())
    return f"{first[0]}[[art]]\n{made}\n[[art]]{line}"


@pytest.mark.parametrize("placed", [
    "turn = 90", "turn = 0", "turn = 30", "turn = 90\ncrop_left = \"13 %\"\ncrop_top = \"7 %\"",
    'turn = 90\nplace = "scale"\nresolution = "47.3 ppi"',
    'turn = 90\nplace = "scale"\nwidth = "61.7 cm"', 'turn = 90\nplace = "fit"'])
@pytest.mark.parametrize("lines", ["65 lpi", *(
    pytest.param(lines, marks=pytest.mark.long) for lines in ("45 lpi", "21 l/cm", "200 lpi"))])
def test_advice_of_pixels(small_job: Write, placed: str, lines: str) -> None:
    path = small_job((PHOTO, f'file = "photo.png"\n{placed}'), ('"45 lpi"', f'"{lines}"'))
    told = findings(submission(path))["pixels-for-ruling"]
    if told.grade is Grade.CLEAR:
        pytest.skip("has pixels enough")
    text, picture = path.read_text(), path.parent / "photo.png"
    ways = told.mend.rstrip(".").split("; or ")
    assert len(ways) >= 2
    for way in ways:
        pixels, asked = re.search(r"needs (\d+) × (\d+) pixels", way), text
        if pixels:
            own = picture.read_bytes()
            blank_png(picture, int(pixels[1]), int(pixels[2]))
            asked = written(text, way)
        elif "ruling" in way:
            lines_told = re.search(r"ruling of (\d+ \S+) or coarser", way)
            assert lines_told
            asked = text.replace(f'"{lines}"', f'"{lines_told[1]}"')
            number, unit = lines_told[1].split()
            finer = ruling(f"{int(number) + 1} {unit}").lpcm  # would not have done
            assert told.measured.value * ruling(lines).lpcm / finer < 2.0
        else:
            asked = written(text, way)
        path.write_text(asked)
        now = findings(submission(path))
        if pixels:
            picture.write_bytes(own)
        assert now["pixels-for-ruling"].grade is Grade.CLEAR, (way, now["pixels-for-ruling"].says)
        if "bare_wood_around" in way:
            assert now["art-covers-board"].grade is Grade.CLEAR


def blank_png(path: Path, width: int, height: int) -> None:
    """A picture of that size; no check here looks at its pixels."""
    from PIL import Image

    Image.new("1", (width, height)).save(path)


@pytest.mark.parametrize("placed", [
    'turn = 90\nplace = "scale"\nwidth = "11 cm"', 'turn = 17\nplace = "scale"\nwidth = "21 cm"',
    'turn = 90\nplace = "scale"\nresolution = "150 ppi"',
    'turn = 90\nplace = "scale"\nwidth = "21 cm"\noffset_along = "40 mm"\noffset_across = "-9 mm"',
    'turn = 90\nplace = "scale"\nwidth = "61 cm"\noffset_along = "40 cm"',
    'turn = 90\ncrop_left = "20 %"\nplace = "fit"',
    'turn = 90\nplace = "fit"\noffset_along = "7 mm"',
    'turn = 90\noffset_along = "40 mm"', 'turn = 90\noffset_across = "60 mm"',
    'turn = 30\noffset_along = "80 mm"\noffset_across = "-60 mm"',
    'turn = 90\nplace = "scale"\nwidth = "30.5 cm"'])
def test_advice_of_art_over_the_board(small_job: Write, placed: str) -> None:
    path = small_job((PHOTO, f'file = "photo.png"\n{placed}'))
    text, before = path.read_text(), findings(submission(path))
    faulty = [before[id_] for id_ in ("art-covers-board", "art-covers-bleed")
              if before[id_].grade is not Grade.CLEAR]
    assert faulty
    for told in faulty:
        ways = re.split(r"; or |, or |(?<=\.) ", told.mend)
        assert len(ways) >= 2 or "lies beside" in told.mend, told.mend
        for way in ways:
            path.write_text(written(text, way))
            now = findings(submission(path))
            assert path.read_text() != text, way
            assert now["art-covers-board"].grade is Grade.CLEAR, way
            assert now["art-covers-bleed"].grade is Grade.CLEAR, way


@pytest.mark.parametrize("placed", [
    "turn = 0", "turn = 180", "turn = 0\noffset_across = \"60 mm\"", "turn = 10",
    'turn = 0\ncrop_left = "20 %"', 'turn = 0\nflip = "across"'])
def test_advice_of_the_turn(small_job: Write, placed: str) -> None:
    path = small_job((PHOTO, f'file = "photo.png"\n{placed}'))
    text, before = path.read_text(), findings(submission(path))
    assert before["photo-turn"].grade is Grade.CARE
    told = before["photo-turn"].mend
    turned, kept = told.split("; or, ")
    other = re.search(r"\(or (\d+), the other way round\)", turned)
    assert other
    for way in (turned, f"turn = {other[1]}{turned.partition('table')[2]}", kept):
        path.write_text(written(text, way.replace(other[0], "")))
        now = findings(submission(path))
        assert "photo-turn" not in now or now["photo-turn"].grade is Grade.CLEAR, way
        assert now["art-covers-board"].grade is Grade.CLEAR, way
        assert now["art-covers-bleed"].grade is before["art-covers-bleed"].grade, way
