"""A job whose films do not fit the printer, and one whose films are larger than their print."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import partial
from importlib.resources import files
from pathlib import Path

import jsonschema
import numpy as np
import pikepdf
import pypdfium2
import pytest
from shapely.affinity import scale as scaled

from preflight.findings import Grade, has_stop
from preflight.input_problem import InputProblem
from separations.pipeline.calls import check_job, estimate_job_ink, make_films, run_job
from tests.coarse_job import write_coarse_job
from tests.separations.films.decoded_images import decoded_dots

Write = Callable[..., Path]


@pytest.fixture
def coarse_job(tmp_path: Path) -> Write:
    """Writes a coarse job; replacements turn its text into another."""
    return partial(write_coarse_job, tmp_path / "job")


def _film(*lines: str) -> tuple[str, str]:
    return '"300 dpi"', "\n".join(['"300 dpi"', *lines])


def test_a_film_too_wide_is_a_stop_unless_panels_are_asked_for(coarse_job: Write) -> None:
    outcome = check_job(coarse_job(_film('width = "100 mm"')))
    assert has_stop(outcome.findings)
    found = next(f for f in outcome.findings if f.id == "film-width")
    assert found.mend.startswith("Set panels = true")
    outcome = check_job(coarse_job(_film('width = "100 mm"', "panels = true")))
    found = next(f for f in outcome.findings if f.id == "film-width")
    assert found.grade is Grade.NOTE
    assert not has_stop(outcome.findings)


def test_a_runs_panels_are_its_whole_films(coarse_job: Write, tmp_path: Path) -> None:
    whole = make_films(coarse_job(), tmp_path / "whole")
    job = coarse_job(_film('width = "100 mm"', "panels = true", 'also = ["tiff", "png"]'))
    made = run_job(job, tmp_path / "out")
    assert [f.name for f in sorted((tmp_path / "out" / "films").glob("02*"))] == [
        f"02-Black_panel_{n}_of_2.{ending}" for n in (1, 2) for ending in ("pdf", "png", "tif")]
    for one, film in zip(whole.films, made.films, strict=True):
        dots = decoded_dots(tmp_path / "whole" / one.file)
        again = np.zeros_like(dots)
        for panel in film.panels:
            part = decoded_dots(tmp_path / "out" / panel.file)
            again[panel.first_row:panel.first_row + panel.rows,
                  panel.first_column:panel.first_column + panel.columns] |= part
            assert panel.page_width_mm <= 100.0
        np.testing.assert_array_equal(again, dots)
        assert film.inked_mm2 == one.inked_mm2
    assert made.estimates == whole.estimates
    report = json.loads((tmp_path / "out" / "report.json").read_text(encoding="utf-8"))
    schema = json.loads(files("separations.report").joinpath("report_schema.json").read_text())
    jsonschema.validate(report, schema)
    assert [p["told"] for p in report["films"][0]["panels"]] == [
        "panel 1 of 2, 1 of 2 from the left", "panel 2 of 2, 2 of 2 from the left"]
    with pypdfium2.PdfDocument(tmp_path / "out" / "operator.pdf") as document:
        text = " ".join(document[0].get_textpage().get_text_bounded().split())
    assert "Each film is in 2 panels that overlap by 15 mm" in text
    assert "dashed line" not in text.split("Each film is in 2 panels")[1].split("All inks")[0]
    with pypdfium2.PdfDocument(tmp_path / "out" / made.films[1].panels[1].file) as document:
        text = " ".join(document[0].get_textpage().get_text_bounded().split())
    assert "Black, panel 2 of 2 (film 2 of 2)" in text
    for fact in ("2 of 2 from the left", "overlap 15 mm", "crosses on crosses", "300 dpi",
                 "scale 1:1"):
        assert fact in text
    with pikepdf.open(tmp_path / "out" / made.films[1].panels[1].file) as pdf:
        assert str(pdf.docinfo["/Title"]).endswith("Black, panel 2 of 2")


def test_factors_are_told_and_leave_ink_and_tones_as_they_are(
    coarse_job: Write, tmp_path: Path
) -> None:
    plain = estimate_job_ink(coarse_job(), tmp_path / "plain")
    job = coarse_job(_film("scale_along = 1.002", "scale_across = 0.998"))
    made = run_job(job, tmp_path / "out")
    for before, now in zip(plain.estimates, made.estimates, strict=True):
        assert now.mean_tone == pytest.approx(before.mean_tone, abs=5e-4)
    report = json.loads((tmp_path / "out" / "report.json").read_text(encoding="utf-8"))
    told = ["Film along: larger by 0.2 % (+0.62 mm over 310.0 mm)",
            "Film across: smaller by 0.2 % (−0.18 mm over 90.0 mm)"]
    assert report["film_size"] == {"scale_along": 1.002, "scale_across": 0.998, "told": told}
    with pypdfium2.PdfDocument(tmp_path / "out" / made.films[0].file) as document:
        label = " ".join(document[0].get_textpage().get_text_bounded().split())
    with pypdfium2.PdfDocument(tmp_path / "out" / "operator.pdf") as document:
        sheet = " ".join(document[0].get_textpage().get_text_bounded().split())
    for text in told:
        assert text in label
        assert text[1:] in sheet
    assert "measures 100.20 mm along and 99.80 mm across on the film" in sheet
    columns, rows = report["films"][0]["image_pixels"]
    assert rows == pytest.approx(310 * 1.002 * 300 / 25.4, abs=1)
    assert columns == pytest.approx(90 * 0.998 * 300 / 25.4, abs=1)


@pytest.mark.parametrize(("lines", "sentence"), [
    (("scale_along = 1.03",), "film.scale_along: found 1.03; a factor of the film against the "
     "print such as 1.0004, between 0.98 and 1.02, would do."),
    (("panels = 1",), "film.panels: found 1; true or false would do."),
    (('panel_overlap = "5 mm"',), "film.panel_overlap: found '5 mm'; an overlap such as '15 mm', "
     "between 10 and 60 mm, would do."),
    (('width = "100 mm"', "panels = true", 'panel_overlap = "50 mm"'),
     "film.panels: found a film printer of 100 mm by 30 m with overlaps of 50 mm, too small for "
     "panels; a greater width or length, or a smaller panel_overlap, would do."),
])
def test_what_cannot_be_is_one_sentence(
    coarse_job: Write, tmp_path: Path, lines: tuple[str, ...], sentence: str
) -> None:
    job = coarse_job(_film(*lines))
    with pytest.raises(InputProblem) as caught:
        make_films(job, tmp_path / "out")
    assert caught.value.sentence == f"{job}: {sentence}"
    assert not (tmp_path / "out").exists()


def test_the_bases_outline_is_seen_from_the_base(coarse_job: Write, tmp_path: Path) -> None:
    """A board that is wider to its left, by points: from the base it is wider to the right."""
    points = "x,y\n" + "".join(f"{x},{y}\n" for x, y in (
        (-150, -30), (0, -30), (150, -30), (150, 30), (60, 45), (0, 45), (-60, 45), (-150, 30)))
    board = ('length = "30 cm"\ncontact_length = "20 cm"\nnose_width = "8 cm"\n'
             'waist_width = "7 cm"\ntail_width = "7.8 cm"', 'outline = "ring.csv"')
    seen = []
    for side in ("top", "base"):
        job = coarse_job(board, ('stage = "sheet"', f'stage = "sheet"\nside = "{side}"'))
        (job.parent / "ring.csv").write_text(points, encoding="utf-8")
        outcome = check_job(job)
        seen.append(outcome.submission.outline.polygon)
    top, base = seen
    assert scaled(top, 1, -1, origin=(0, 0)).equals(base)
    assert not top.equals(base)
    assert base.exterior.is_ccw
    made = make_films(job, tmp_path / "out", despite_stops=True)
    with pypdfium2.PdfDocument(tmp_path / "out" / made.films[0].file) as document:
        assert "Small plank, base side" in document[0].get_textpage().get_text_bounded()
