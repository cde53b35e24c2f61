"""Drawings and notes against what is printed around them, on a board half dark and half light."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.findings import Finding, Grade
from preflight.frames.raster_grid import grid_over
from separations.pipeline.prepared_job import PreparedJob
from separations.planes.art_separation import CoarseTones
from separations.planes.drawn_contrast import PrintedGround
from tests.prepared_jobs import prepare
from tests.small_art import small_lines

Write = Callable[..., Path]
LINES = '[[art]]\nfile = "lines.png"\nkind = "line"\nink = "Black"\nturn = 90\n'
WHITE = ('heat_limit = "140 °C"\n[[ink]]\nname = "White"\nover_white = [95, 0, 2]\n'
         'opacity = 0.95\nprints = "line work"\nangle = 37.5\n')
#: A white plate beneath what lies on the dark half.
PLATE = """[[art]]
file = "plate.svg"
kind = "flat"
place = "scale"
width = "60 mm"
offset_along = "-70 mm"
ink = "White"
turn = 90
"""
PLATE_SVG = ('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 30">'
             '<rect width="60" height="30"/></svg>')


def prepared(small_job: Write, art: str) -> PreparedJob:
    """Dark towards the tail (x < 0), light towards the nose."""
    path = small_job((LINES, art))
    text = path.read_text(encoding="utf-8")
    head, _, tail = text.rpartition('heat_limit = "140 °C"\n')
    path.write_text(head + WHITE + tail, encoding="utf-8")
    photo = np.full((360, 1240, 3), 20, np.uint8)
    photo[:, 620:] = 225
    cv2.imwrite(str(path.parent / "photo.png"), photo)
    (path.parent / "plate.svg").write_text(PLATE_SVG, encoding="utf-8")
    return prepare(path, finest_ppi=72)


def note(text: str, x_mm: float, y_mm: float, ink: str, more: str = "") -> str:
    return (f'[[note]]\ntext = "{text}"\nat = ["{x_mm} mm", "{y_mm} mm"]\nink = "{ink}"\n'
            f"{more}\n")


INKS = {"Yellow", "Magenta", "Cyan", "Black", "White"}


def found(job: PreparedJob, check: str) -> dict[str, Finding]:
    return {subject: f for f in job.findings if f.id == check for subject in f.subjects
            if subject not in INKS}


class _Grey:
    """Inks that each take 75 of the wood's 95 L* in proportion to the greatest tone."""

    def predict_lab(self, tones: NDArray[np.float64]) -> NDArray[np.float64]:
        lab = np.zeros((len(tones), 3))
        lab[:, 0] = 95 - 75 * tones.max(axis=1)
        return lab


@pytest.mark.parametrize(("ground", "difference"), [(0.0, 75.0), (0.4, 45.0), (1.0, 0.0)])
def test_a_drawing_stands_out_by_how_much_darker_it_is(ground: float, difference: float) -> None:
    inks = [SimpleNamespace(name=name, prints="photographs") for name in ("Grey", "Black")]
    grid = grid_over((-50.0, -20.0, 50.0, 20.0), 1.0)
    plane = np.full((grid.rows, grid.columns), round(ground * 65_535), np.uint16)
    drawn: Any = SimpleNamespace(drawn=SimpleNamespace(ink="Black", tint=1.0, knocks_out=True,
                                                       on_white=False))
    job: Any = SimpleNamespace(ink=inks)
    model: Any = _Grey()
    looked = PrintedGround(job, model, CoarseTones(planes=(plane, None), grid=grid), ())
    found = looked.contrast_of(drawn, np.array([[x, 0.0] for x in range(-40, 41)]))
    assert found is not None
    assert found.difference == pytest.approx(difference, abs=0.01)


def test_dark_ink_on_dark_photo_is_told_and_light_ink_is_not(small_job: Write) -> None:
    job = prepared(small_job, note("Dark deep", -70, 0, "Black") + note("Light deep", -70, 15,
                   "White") + note("Dark shoal", 60, 0, "Black") + note("Light shoal", 60, 15,
                   "Yellow") + note("Straddling", 0, -15, "Black"))
    told = found(job, "drawings-stand-out")
    assert {name: f.grade for name, f in told.items()} == {
        "Dark deep": Grade.CARE, "Light deep": Grade.CLEAR, "Dark shoal": Grade.CLEAR,
        "Light shoal": Grade.CARE, "Straddling": Grade.CARE}
    place = told["Dark deep"].place
    assert place is not None
    assert place.greatest_x_mm < 0
    facts = {f.subject: f for f in job.submission.drawings}
    assert facts["Light deep"].stands_out == pytest.approx(
        facts["Light deep"].ink_lightness - facts["Light deep"].ground_lightness, abs=3)
    assert (facts["Light deep"].stands_out or 0) > 50


def test_a_white_plate_beneath_makes_a_dark_note_readable(small_job: Write) -> None:
    bare = found(prepared(small_job, note("Deep", -70, 0, "Black")), "drawings-stand-out")
    plated = found(prepared(small_job, PLATE + note("Deep", -70, 0, "Black")),
                   "drawings-stand-out")
    assert bare["Deep"].grade is Grade.CARE
    assert plated["Deep"].grade is Grade.CLEAR
    assert set(plated) == {"Deep"}


def test_ink_that_is_overprinted_is_seen_on_the_photo_not_on_wood(small_job: Write) -> None:
    """Yellow is light on wood, and as good as nothing over a dark photograph."""
    told = found(prepared(small_job, note("Cut out", -70, 0, "Yellow") + note(
        "Over", -70, 15, "Yellow", 'beneath = "overprint"')), "drawings-stand-out")
    assert told["Cut out"].grade is Grade.CLEAR
    assert told["Over"].grade is Grade.CARE
    assert told["Over"].measured.value < 5


def test_notes_and_drawings_off_the_board_stop(small_job: Write) -> None:
    job = prepared(small_job, PLATE.replace("-70 mm", "-700 mm") + LINES.replace(
        "turn = 90", 'turn = 90\noffset_across = "300 mm"') + note("Lost", 500, 0, "Black")
        + note("Edge", 0, 33, "Black"))
    stops = found(job, "on-the-board")
    assert {name: f.grade for name, f in stops.items()} == {
        "plate.svg": Grade.STOP, "lines.png": Grade.STOP, "Lost": Grade.STOP}
    margins = found(job, "safety-margin")
    assert margins["Edge"].grade is Grade.CARE
    assert "Lost" not in margins


def test_line_work_on_the_board_does_not_stop(small_job: Write) -> None:
    path = small_job()
    cv2.imwrite(str(path.parent / "lines.png"), small_lines())
    job = prepare(path, finest_ppi=72)
    assert not found(job, "on-the-board")
    assert found(job, "safety-margin")["lines.png"]


def test_drawn_lines_in_a_picture_are_held_against_the_photo_too(small_job: Write) -> None:
    """The stroke of the picture runs from the light half of the photo into the dark one."""
    for ink, grade in (("Black", Grade.CARE), ("Cyan", Grade.CLEAR)):
        told = found(prepared(small_job, LINES.replace("Black", ink)), "drawings-stand-out")
        assert told["lines.png"].grade is grade
