"""Ink kept off holes: the films' own bits, the report, and what lies round about."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from xml.etree import ElementTree

import jsonschema
import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray
from PIL import Image

from preflight.findings import Grade
from separations.films.film_contents import job_sheet
from separations.films.film_sheet import FilmSheet
from separations.halftone.film_bands import film_bands
from separations.pipeline.calls import check_job, run_job
from separations.planes.laid_out_job import LaidOutJob
from tests.prepared_jobs import contents_of, laid_out, overlays_on, separated

Write = Callable[..., Path]
TABLES = """
[profile]
camber = "1 mm"
nose_rise = "9 mm"
nose_length = "4 cm"
tail_rise = "7 mm"
tail_length = "35 mm"
[inserts]
pattern = "4x4"
stance = "12 cm"
set_back = "5 mm"
holes_in_row = 2
ink = "off"
[[keep_out]]
name = "plate & pin"
ring = [["-5 mm", "-12 mm"], ["15 mm", "-12 mm"], ["15 mm", "3 mm"], ["-5 mm", "3 mm"]]
[[important]]
name = "Light <1>"
at = ["0 mm", "10 mm"]
diameter = "12 mm"
"""
PLAN = ('name = "Small plank"', 'name = "Small plank"\noutline_view = "plan"')


def with_tables(small_job: Write, *changes: tuple[str, str]) -> Path:
    path = small_job(PLAN, *changes)
    path.write_text(path.read_text(encoding="utf-8") + TABLES, encoding="utf-8")
    return path


def films(laid: LaidOutJob) -> tuple[FilmSheet, dict[str, NDArray[np.bool_]]]:
    sheet = job_sheet(laid)
    separation = separated(laid)
    made = {}
    for ink, content in contents_of(laid, separation, overlays_on(laid, separation)).items():
        packed = np.concatenate(list(film_bands(content)))
        made[ink] = np.unpackbits(packed, axis=1)[:, :sheet.art_grid.columns].astype(bool)
    return sheet, made


def from_holes_mm(laid: LaidOutJob, sheet: FilmSheet) -> NDArray[np.float64]:
    """How far each film pixel lies from the nearest hole's middle (mm)."""
    grid = sheet.art_grid
    x, y = np.meshgrid(grid.row_centres_x_mm(), grid.column_centres_y_mm(), indexing="ij")
    holes = np.concatenate([pack.holes_mm for pack in laid.fittings.inserts])
    return np.asarray(np.min([np.hypot(x - hx, y - hy) for hx, hy in holes], axis=0))


def test_no_ink_lies_in_holes_and_all_the_rest_is_as_before(small_job: Write) -> None:
    laid = laid_out(with_tables(small_job))
    sheet, made = films(laid)
    assert laid.area.uncut is not None
    whole_laid = replace(laid, area=replace(laid.area, printed=laid.area.uncut, uncut=None))
    whole_sheet, whole = films(whole_laid)
    assert sheet == whole_sheet
    away = from_holes_mm(laid, sheet)
    least_x, least_y, greatest_x, greatest_y = laid.fittings.keep_outs[0].area.bounds
    rows = [round(sheet.art_grid.row_of(x)) for x in (greatest_x, least_x)]
    columns = [round(sheet.art_grid.column_of(y)) for y in (greatest_y, least_y)]
    off = away < 4.3 - 0.005
    off[rows[0] + 1:rows[1] - 1, columns[0] + 1:columns[1] - 1] = True
    on = away > 4.3 + 0.005
    on[rows[0] - 1:rows[1] + 1, columns[0] - 1:columns[1] + 1] = False
    for ink, bits in made.items():
        assert whole[ink][off].any(), ink
        assert not bits[off].any(), ink
        assert np.array_equal(bits[on], whole[ink][on]), ink


def test_whole_dots_reach_into_a_hole_by_less_than_a_cell(small_job: Write) -> None:
    laid = laid_out(with_tables(small_job, ('bleed = "5 mm"',
                                                    'bleed = "5 mm"\nedge_dots = "whole"')))
    sheet, made = films(laid)
    away = from_holes_mm(laid, sheet)
    half_cell = 25.4 / 45 / 2 ** 0.5
    for ink in ("Yellow", "Magenta", "Cyan"):
        assert not made[ink][away < 4.3 - half_cell].any()
        assert made[ink][away < 4.29].any()


def test_a_plan_is_developed_and_places_go_with_it(small_job: Write) -> None:
    laid = laid_out(with_tables(small_job))
    frames = laid.fittings.frames
    assert frames.flat_length_mm is not None
    assert laid.outline.length_mm == pytest.approx(frames.flat_length_mm)
    assert frames.flat_length_mm > 302
    front = laid.fittings.inserts[0].holes_mm
    # In plan the front holes lie at 60 - 5 ± 20 mm; flat they lie further out by the camber's
    # few hundredths, and all is moved so that the flat middle is the origin.
    assert front[[0, 1], 0] + frames.middle_arc_mm == pytest.approx([35, 75], abs=0.05)
    assert front[1, 0] + frames.middle_arc_mm > 75.001
    assert any("is a plan view" in remark for remark in laid.remarks)


def test_old_jobs_are_laid_out_as_before(small_job: Write) -> None:
    laid = laid_out(small_job())
    assert laid.outline.length_mm == pytest.approx(300)
    assert laid.area.uncut is None
    assert not laid.fittings.kept_off


def test_a_run_tells_and_draws_it_all(small_job: Write, tmp_path: Path) -> None:
    job = with_tables(small_job, ('"600 dpi"', '"300 dpi"'))
    outcome = run_job(job, tmp_path / "out", despite_stops=True)
    report = json.loads((tmp_path / "out" / "report.json").read_text(encoding="utf-8"))
    schema = json.loads(files("separations.report").joinpath("report_schema.json").read_text())
    jsonschema.validate(report, schema)
    told = report["pressed_board"]
    assert told["outline"] == "developed"
    assert told["plan_length_mm"] == 300
    assert told["flat_length_mm"] == pytest.approx(report["board"]["length_mm"], abs=2e-3)
    assert [len(pack["holes_mm"]) for pack in told["inserts"]] == [4, 4]
    page = (tmp_path / "out" / "report.html").read_text(encoding="utf-8")
    drawings = [part.split("</svg>")[0] + "</svg>" for part in page.split("<svg")[1:]]
    assert len(drawings) == 2
    for drawing in drawings:
        ElementTree.fromstring("<svg" + drawing)
    assert "Light &lt;1&gt;" in page
    with Image.open(tmp_path / "out" / "proof.png") as proof:
        picture = np.asarray(proof.convert("RGB")).astype(int)
    area = outcome.submission.area
    hole = outcome.submission.fittings.inserts[0].holes_mm[0]
    scale = 100 / 25.4
    column = round((hole[0] - area.image_bounds[0]) * scale)
    row = round((area.image_bounds[3] - hole[1]) * scale)
    assert abs(picture[row, column] - (58, 57, 55)).max() <= 2
    rim = picture[row, column + round(3.9 * scale)]  # bare bamboo between hole and ink
    assert rim[0] > 170


def test_line_work_in_the_plate_is_measured(small_job: Write) -> None:
    outcome = check_job(with_tables(small_job))
    found = {f.id: f for f in outcome.findings}
    # The small drawing's disc lies under the plate.
    assert found["line-work-in-holes"].grade is Grade.CARE
    lost = found["line-work-in-holes"].measured.value
    assert 50 < lost < 20 * 15 + 8 * 59


def test_the_pressed_board_is_told_its_reach(small_job: Write, tmp_path: Path) -> None:
    job = with_tables(small_job, ('stage = "sheet"', 'stage = "board"'),
                      ('"600 dpi"', '"150 dpi"'))
    outcome = run_job(job, tmp_path / "out")
    assert outcome.submission.outline.length_mm == pytest.approx(300)
    report = json.loads((tmp_path / "out" / "report.json").read_text(encoding="utf-8"))
    assert report["pressed_board"]["reach"]["beyond_cm2"] > 1
    page = (tmp_path / "out" / "report.html").read_text(encoding="utf-8")
    assert "off-contact at mid-length, pressed down by up to 6 mm, a flat screen reaches" in page


@pytest.mark.long
def test_a_band_across_the_board_parts_films_and_composite(
    small_job: Write, tmp_path: Path
) -> None:
    path = small_job(('"600 dpi"', '"150 dpi"\nalso = ["composite", "grey", "tiff"]'))
    path.write_text(path.read_text(encoding="utf-8") + """
[[keep_out]]
name = "band"
ring = [["20 mm", "-1 m"], ["40 mm", "-1 m"], ["40 mm", "1 m"], ["20 mm", "1 m"]]
""", encoding="utf-8")
    outcome = run_job(path, tmp_path / "out", despite_stops=True)
    assert outcome.submission.area.printed.geom_type == "MultiPolygon"
    area = outcome.submission.area
    with pypdfium2.PdfDocument(tmp_path / "out" / "composite.pdf") as document:
        page = document[0]
        picture = np.asarray(page.render(scale=150 / 72).to_pil().convert("L"))
        left, bottom, right, top = (round(v * 150 / 72) for v in page.get_bleedbox())
    art = picture[picture.shape[0] - top:picture.shape[0] - bottom, left:right]
    scale, nose = 150 / 25.4, area.image_bounds[2]
    assert (art[round((nose - 39) * scale):round((nose - 21) * scale)] == 255).all()
    assert art[round((nose - 60) * scale):round((nose - 42) * scale)].mean() < 225
