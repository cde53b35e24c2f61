"""White laid under flats and line work on request, drawn in by the underbase's choke."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.findings import Grade
from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.measuring.hold.film_windows import Window
from separations.pipeline.fact_stages import FINDINGS, INK_HEIGHTS
from separations.pipeline.picture_stages import FILM_WINDOWS, PROOF_GRID, PROOF_TONES
from separations.pipeline.session import Session
from separations.pipeline.stages import FILM_SHEET

Write = Callable[..., Path]
SVG = ('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20" width="40mm" height="20mm">'
       '<rect x="0" y="0" width="40" height="20"/><path d="M45 0 V20" stroke="black"/></svg>')
FLAT = ('[[art]]\nfile = "flat.svg"\nkind = "flat"\nink = "Cyan"\nplace = "scale"\n'
        'width = "40 mm"\nturn = 90\n')
LINES = ('[[art]]\nfile = "lines.png"\nkind = "line"\nink = "Black"\nplace = "scale"\n'
         'width = "100 mm"\nturn = 90\n')
WHITE = ('[[ink]]\nname = "White"\ncolour = "opaque white"\nprints = "underbase"\nangle = 37.5\n'
         'choke = "1 mm"\nheat_limit = "140 °C"\n')
ON_WHITE = "white_beneath = true\n"
FIRST = '[[ink]]\nname = "Yellow"'


def spot_job(small_job: Write, art: str, inks: str = WHITE) -> Path:
    """A board without a photograph: the art alone, in two inks on white."""
    path = small_job()
    text = path.read_text(encoding="utf-8")
    first, last = text.index("[[art]]"), text.index("[separation]")
    text = text[:first] + art + text[last:].replace('black_ink = "Black"\n', "")
    text = text[:text.index(FIRST)] + inks + text[text.index('[[ink]]\nname = "Cyan"'):]
    path.write_text(text, encoding="utf-8")
    (path.parent / "flat.svg").write_text(SVG, encoding="utf-8")
    bar = np.full((500, 1000), 255, np.uint8)
    bar[200:300, 100:900] = 0  # 80 by 10 mm, and a stroke of 1 mm
    cv2.line(bar, (100, 400), (900, 400), 0, 10)
    cv2.imwrite(str(path.parent / "lines.png"), bar)
    return path


def film(path: Path, ink: int) -> tuple[NDArray[np.bool_], float]:
    """All of one film's pixels as bits, and a pixel's area (mm²)."""
    windows, sheet = Session(path).all_of(FILM_WINDOWS, FILM_SHEET)
    grid = sheet.art_grid
    bits = windows[ink].bits(Window(0, grid.rows, 0, grid.columns))
    return np.asarray(bits, np.bool_), grid.pixel_mm**2


def test_a_flat_lies_on_white_drawn_in_by_the_choke(small_job: Write) -> None:
    path = spot_job(small_job, FLAT + ON_WHITE)
    (white, each), (cyan, _) = film(path, 0), film(path, 1)
    assert white.sum() * each == pytest.approx(38 * 18, rel=0.003)
    assert cyan.sum() * each == pytest.approx(40 * 20 + 20, rel=0.003)  # with a stroke of 1 mm
    assert not (white & ~cyan).any()


def test_line_work_lies_on_white_and_thin_strokes_have_none(small_job: Write) -> None:
    path = spot_job(small_job, LINES + ON_WHITE)
    (white, each), (black, _) = film(path, 0), film(path, 2)
    assert white.sum() * each == pytest.approx(78 * 8, rel=0.02)
    assert black.sum() * each > 80 * 10 + 75
    assert not (white & ~black).any()


@pytest.mark.parametrize("art", [FLAT, LINES])
def test_a_film_of_white_is_blank_unless_asked_for(small_job: Write, art: str) -> None:
    for words, grade in (("", Grade.STOP), (ON_WHITE, Grade.CLEAR)):
        told = [one for one in Session(spot_job(small_job, art + words)).of(FINDINGS)
                if one.id == "film-blank" and "White" in one.subjects]
        assert {one.grade for one in told} <= {grade}
        assert bool(told) or grade is Grade.CLEAR


@pytest.mark.parametrize(("art", "ink"), [(FLAT, 1), (LINES, 2)])
def test_proof_and_ink_heights_know_of_it(small_job: Write, art: str, ink: int) -> None:
    heights = []
    for words in ("", ON_WHITE):
        session = Session(spot_job(small_job, art + words), proof_ppi=50.0)
        tones, grid = session.all_of(PROOF_TONES, PROOF_GRID)
        centre = tones[:, round(grid.row_of(0.0)), round(grid.column_of(0.0))]
        assert centre[ink] == 65_535
        assert centre[0] == (65_535 if words else 0)
        heights.append(session.of(INK_HEIGHTS).wet_um)
    assert heights[1] > 1.5 * heights[0]


def test_white_joins_that_of_the_photograph(small_job: Write) -> None:
    """Under a dark photo there is little white; under a flat on it there is all of it."""
    path = small_job((FIRST, WHITE + FIRST), ("[separation]", FLAT + ON_WHITE + "[separation]"))
    (path.parent / "flat.svg").write_text(SVG, encoding="utf-8")
    cv2.imwrite(str(path.parent / "photo.png"), np.full((360, 1240, 3), 12, np.uint8))
    tones, grid = Session(path, finest_ppi=72.0, proof_ppi=50.0).all_of(PROOF_TONES, PROOF_GRID)
    row, column = round(grid.row_of(0.0)), round(grid.column_of(0.0))
    beside = round(grid.row_of(40.0))
    assert tones[0, row, column] == 65_535
    assert tones[0, beside, column] < 20_000


@pytest.mark.parametrize(("art", "inks", "found"), [
    (FLAT + ON_WHITE, "", r"art\[1\].white_beneath: found no ink that prints it"),
    (FLAT.replace('"Cyan"', '"White"') + ON_WHITE, WHITE, "printed no earlier than 'White'"),
    (FLAT.replace('"Cyan"', '"Sun"') + ON_WHITE,
     '[[ink]]\nname = "Sun"\ncolour = "sun orange"\nangle = 0\nprints = "line work"\n' + WHITE,
     "'White' printed no earlier than 'Sun'; an ink listed after the underbase would do"),
])
def test_white_that_cannot_lie_beneath_is_refused(
        small_job: Write, art: str, inks: str, found: str) -> None:
    with pytest.raises(InputProblem, match=found):
        read_job(spot_job(small_job, art, inks))


def test_a_photo_has_its_own_underbase(small_job: Write) -> None:
    photo = 'file = "photo.png"\n'
    with pytest.raises(InputProblem, match="'white_beneath' on line work or a flat colour only"):
        read_job(small_job((photo, photo + ON_WHITE), (FIRST, WHITE + FIRST)))
