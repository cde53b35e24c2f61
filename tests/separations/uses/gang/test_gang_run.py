"""A gang's proof, report and operator's sheet: as a job has them, of all pieces on one film."""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path
from typing import NamedTuple

import jsonschema
import numpy as np
import pypdfium2
import pytest
from PIL import Image

from preflight.input_problem import InputProblem
from separations.films.film_sheet import Box
from separations.films.mark_fields import PATCH_MM
from separations.films.page_rendering import rendered_page
from separations.films.press_marks import ASIDE_MM
from separations.pipeline.calls import make_proof
from separations.uses.gang.gang_board import origin_in_gang
from separations.uses.gang.gang_films import gang_on_film
from separations.uses.gang.gang_run import GangOutcome, make_gang
from separations.uses.gang.gang_sheet import read_gang_sheet
from tests.coarse_job import write_coarse_job
from tests.separations.uses.gang.test_gang_films import HEAD


class Made(NamedTuple):
    """A gang of a board and a shorter part, turned."""

    sheet: Path
    out: Path
    gang: GangOutcome


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    folder = tmp_path_factory.mktemp("gang")
    write_coarse_job(folder / "job", ('length = "30 cm"', 'length = "24 cm"'), name="part")
    job = write_coarse_job(folder / "job")
    sheet = job.with_name("gang.toml")
    sheet.write_text(HEAD + '[[piece]]\njob = "marsh.toml"\n[[piece]]\njob = "part.toml"\n'
                     "turn = 180\n", encoding="utf-8")
    return Made(sheet, folder / "out", make_gang(sheet, folder / "out"))


def _text(path: Path) -> str:
    with pypdfium2.PdfDocument(path) as document:
        return " ".join(" ".join(page.get_textpage().get_text_bounded().split())
                        for page in document)


def test_report_sheet_and_films_bear_one_revision(made: Made) -> None:
    told = json.loads((made.out / "report.json").read_text(encoding="utf-8"))
    revision = told["job"]["revision"]
    assert revision == made.gang.outcome.revision
    assert json.loads((made.out / "gang.json").read_text("utf-8"))["revision"] == revision
    for name in ("operator.pdf", "films/01-Cyan.pdf", "films/02-Black.pdf"):
        assert f"revision {revision}" in _text(made.out / name)
    assert f"revision {revision}" in (made.out / "report.html").read_text(encoding="utf-8")


def test_the_report_keeps_the_schema_of_a_jobs(made: Made) -> None:
    schema = json.loads(files("separations.report").joinpath("report_schema.json").read_text())
    told = json.loads((made.out / "report.json").read_text(encoding="utf-8"))
    jsonschema.validate(told, schema)
    assert told["job"] | {"revision": ""} == {
        "title": "Marsh, both sides", "date": "2026-11-25", "stage": "sheet", "side": "top",
        "boards": 3, "printed": "pull", "revision": ""}
    assert [film["file"] for film in told["films"]] == ["films/01-Cyan.pdf", "films/02-Black.pdf"]
    high, wide = told["board"]["length_mm"], told["board"]["width_mm"]
    assert (high, wide) == pytest.approx((310.1, 190.2), abs=0.3)
    placed = [finding for finding in told["findings"] if finding["place_mm"]]
    assert {finding["place_told"][:8] for finding in placed} == {"piece 1:", "piece 2:"}
    for finding in placed:
        x, _, greatest_x, greatest_y = finding["place_mm"]
        assert -high / 2 - 1 <= x <= greatest_x <= high / 2 + 1
        # The first piece lies to the left, the second to the right.
        assert (greatest_y > 0) == finding["place_told"].startswith("piece 1:")
    assert next(t for t in told["tables"] if t["title"] == "Pieces")["rows"][1][0] == "2"


def test_the_operators_sheet_tells_the_gang(made: Made) -> None:
    words = _text(made.out / "operator.pdf")
    for part in ("Marsh, both sides", "2 pieces on one film for each ink", "3 pulls", "One pull, g",
                 "Image 310 × 190 mm", "films/01-Cyan.pdf", "Cautions", "UV light"):
        assert part in words
    assert "NOSE" not in words


def test_the_proof_shows_each_piece_as_its_own_proof_does_where_it_lies(
        made: Made, tmp_path: Path) -> None:
    with Image.open(made.out / "proof.png") as opened:
        whole = np.rot90(np.asarray(opened.convert("RGB")))  # nose edge up
    for piece in made.gang.pieces:
        out = tmp_path / piece.table.job
        make_proof(piece.prepared.laid.job, out)
        with Image.open(out / "proof.png") as opened:
            alone = np.rot90(np.asarray(opened.convert("RGB")))
        if piece.table.is_turned:
            alone = alone[::-1, ::-1]
        x, y, _ = origin_in_gang(made.gang.pieces, piece)
        row, column = (round(size / 2 - mm / 0.254) for size, mm in
                       zip(whole.shape[:2], (x, y), strict=True))
        high = wide = 100  # about the piece's middle
        there = whole[row - high:row + high, column - wide:column + wide].astype(int)
        middle = alone.shape[0] // 2, alone.shape[1] // 2
        here = alone[middle[0] - high:middle[0] + high,
                     middle[1] - wide:middle[1] + wide].astype(int)
        shifts = [np.abs(np.roll(here, (a, b), (0, 1)) - there)[3:-3, 3:-3].mean()
                  for a in (-1, 0, 1) for b in (-1, 0, 1)]
        assert min(shifts) < 4


def test_the_press_strip_stands_on_a_gangs_film(made: Made) -> None:
    """Its solid of 20 mm, measured on the rendered film; and no ink beside it."""
    film = made.gang.films[0]
    laid = gang_on_film(read_gang_sheet(made.sheet), made.gang.pieces)
    page = laid.sheet.page_grid
    with rendered_page(made.out / film.file, page.columns, page.rows) as rendered:
        shown = rendered.ink_in(Box(0, 0, page.columns, laid.sheet.art_box.top))
    # The F, 14 mm wide, and 3 mm free film come first.
    middle = laid.sheet.pixels(ASIDE_MM + 17.0 + PATCH_MM / 2)
    inked = np.flatnonzero(shown[:, middle])
    side = round(PATCH_MM / page.pixel_mm)
    assert inked[side - 1] - inked[0] == side - 1
    assert len(inked) == side or inked[side] > inked[side - 1] + 1
    clear = np.flatnonzero(~shown[inked[0] + 5])
    assert clear[clear > middle][0] - clear[clear < middle][-1] - 1 == side


def test_marks_that_jobs_name_must_fit_and_pins_lie_off_the_pieces(
        made: Made, tmp_path: Path) -> None:
    text = made.sheet.read_text(encoding="utf-8")
    pinned = made.sheet.with_name("pinned.toml")
    pinned.write_text(text.replace('date =', 'pins = [["230 mm", "0 mm"]]\ndate ='),
                      encoding="utf-8")
    laid = gang_on_film(read_gang_sheet(pinned), made.gang.pieces)
    assert laid.sheet.row(230.0) > 0
    pinned.write_text(text.replace('date =', 'pins = [["10 mm", "40 mm"]]\ndate ='),
                      encoding="utf-8")
    with pytest.raises(InputProblem, match=r"pinned.toml: pins\[1\]: found a pin in the image"):
        make_gang(pinned, tmp_path / "pinned")
    assert not (tmp_path / "pinned").exists()
