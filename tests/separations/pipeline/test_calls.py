"""The whole way from a job file to films, on a small board."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import cv2
import jsonschema
import numpy as np
import pypdfium2
import pytest
from PIL import Image

from preflight.findings import Grade, has_stop
from preflight.input_problem import InputProblem
from separations.pipeline.calls import check_job, estimate_job_ink, make_films, make_proof, run_job
from separations.report.outcome import Outcome
from tests.small_art import small_photo, write_small_job

Write = Callable[..., Path]
WHOLE = {"made-of.json", "films", "proof.png", "proof-dots.png", "report.html", "report.json",
         "ink.csv", "operator.pdf", ".topsheet-folder"}


def digests(folder: Path) -> dict[str, str]:
    return {p.relative_to(folder).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest()
            for p in sorted(folder.rglob("*")) if p.is_file()}


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path, Outcome]:
    """A small job, its output folder and its outcome."""
    job = write_small_job(tmp_path_factory.mktemp("job"))
    out = job.parent / "out"
    return job, out, run_job(job, out)


def test_a_run_writes_all_of_it(whole: tuple[Path, Path, Outcome]) -> None:
    _, out, outcome = whole
    assert {p.name for p in out.iterdir()} == WHOLE
    assert sorted(p.name for p in (out / "films").iterdir()) == [
        "01-Yellow.pdf", "02-Magenta.pdf", "03-Cyan.pdf", "04-Black.pdf"]
    assert not has_stop(outcome.findings)
    assert len(outcome.films) == 4


def test_the_same_job_gives_the_same_bytes(whole: tuple[Path, Path, Outcome]) -> None:
    job, out, _ = whole
    again = out.with_name("again")
    run_job(job, again)
    assert digests(again) == digests(out)


def test_the_report_keeps_its_schema_and_agrees_with_the_films(
    whole: tuple[Path, Path, Outcome]
) -> None:
    _, out, _ = whole
    report = json.loads((out / "report.json").read_text(encoding="utf-8"))
    schema = json.loads(files("separations.report").joinpath("report_schema.json").read_text())
    jsonschema.validate(report, schema)
    for film in report["films"]:
        assert hashlib.sha256((out / film["file"]).read_bytes()).hexdigest() == film["sha256"]
    *rows, total = csv.DictReader(io.StringIO((out / "ink.csv").read_text()))
    assert float(total["run_g_likely"]) == pytest.approx(
        sum(float(row["run_g_likely"]) for row in rows), abs=0.03)
    assert int(total["tins_of_1000_g"]) == sum(int(row["tins_of_1000_g"]) for row in rows) == 4
    assert [row["ink"] for row in rows] == [film["ink"] for film in report["films"]]
    for row, film in zip(rows, report["films"], strict=True):
        assert float(row["inked_area_cm2"]) == pytest.approx(film["inked_cm2"], abs=0.06)


def test_the_ink_is_what_a_renderer_counts_on_the_film(
    whole: tuple[Path, Path, Outcome]
) -> None:
    """Count black pixels inside the bleed box of a rendered film, with another library."""
    _, out, outcome = whole
    film = outcome.films[3]
    with pypdfium2.PdfDocument(out / film.file) as document:
        page = document[0]
        scale = 600 / 72
        picture = np.asarray(page.render(scale=scale, grayscale=True).to_pil())
        left, bottom, right, top = (round(v * scale) for v in page.get_bleedbox())
    height = picture.shape[0]
    art = picture[height - top:height - bottom, left:right]
    assert art.shape == (film.rows, film.columns)
    inked = np.count_nonzero(art < 128) * (25.4 / 600) ** 2
    assert film.inked_mm2 == pytest.approx(inked, rel=1e-3)


def test_pictures_open_and_the_page_stands_alone(whole: tuple[Path, Path, Outcome]) -> None:
    _, out, _ = whole
    with Image.open(out / "proof.png") as proof:
        assert proof.width > 2 * proof.height
    page = (out / "report.html").read_text(encoding="utf-8")
    assert not re.search(r"https?:", page)  # pictures in base64 may hold the letters alone
    assert page.count("<script") == 1
    # The board, four films, three close views, photo beside print, the gamut by hue and by
    # lightness, true pixels, what the inks do not reach, a map of moiré.
    assert page.count("data:image/") == 14


def test_a_stop_withholds_the_films_but_not_the_report(small_job: Write, tmp_path: Path) -> None:
    job = small_job(("140 °C", "30 °C"))
    outcome = run_job(job, tmp_path / "out")
    assert outcome.withheld
    assert {p.name for p in (tmp_path / "out").iterdir()} == WHOLE - {"films"}
    assert make_films(job, tmp_path / "films").withheld
    assert not (tmp_path / "films").exists()
    assert len(make_films(job, tmp_path / "films", despite_stops=True).films) == 4


def test_a_hole_in_the_photo_and_lines_over_the_edge_are_measured(
    small_job: Write
) -> None:
    job = small_job()
    photo = small_photo()[:, :, ::-1]
    alpha = np.full((*photo.shape[:2], 1), 255, np.uint8)
    alpha[100:260, 500:700] = 0
    cv2.imwrite(str(job.parent / "photo.png"), np.dstack([photo, alpha]))
    lines = np.full((720, 2480), 255, np.uint8)
    lines[:, 1200:1230] = 0  # right across the board, over both edges
    cv2.imwrite(str(job.parent / "lines.png"), lines)
    outcome = check_job(job)
    found = {f.id: f for f in outcome.findings}
    area = outcome.submission.area.printed.area
    hole = 160 * 200 * outcome.submission.art[0].placed.mm_per_px**2
    assert found["photo-opaque"].grade is Grade.CARE
    assert found["photo-opaque"].measured.value == pytest.approx(100 * hole / area, rel=0.02)
    # Two margins of 8 mm and two bleeds of 5 mm, crossed by a line of 30 px.
    width = 30 * outcome.submission.art[1].placed.mm_per_px
    assert found["safety-margin"].measured.value == pytest.approx(2 * 13 * width, rel=0.05)


def test_a_mirrored_job_tells_the_operator_how_to_lay_its_films(
    small_job: Write, tmp_path: Path
) -> None:
    job = small_job(('"600 dpi"', '"600 dpi"\nreading = "mirrored"'))
    run_job(job, tmp_path / "out")
    with pypdfium2.PdfDocument(tmp_path / "out" / "operator.pdf") as document:
        text = " ".join(document[0].get_textpage().get_text_bounded().split())
    assert "MIRRORED: wrong-reading with the emulsion side up." in text
    assert "The emulsion side goes" not in text
    assert "lay the emulsion side against" not in text


def test_the_lesser_calls(small_job: Write, tmp_path: Path) -> None:
    job = small_job()
    before = digests(job.parent)
    assert check_job(job).findings
    assert digests(job.parent) == before
    make_proof(job, tmp_path / "proof")
    assert {p.name for p in (tmp_path / "proof").iterdir()} == {
        "proof.png", "proof-dots.png", ".topsheet-folder"}
    estimates = estimate_job_ink(job, tmp_path / "ink").estimates
    films = make_films(job, tmp_path / "films").estimates
    assert estimates == films


@pytest.mark.parametrize(("replacement", "found"), [
    (("photo.png", "none.png"), "no such file"),
    (("photo.png", "marsh.toml"), "other than a picture"),
    (('"7 cm"', '"9 cm"'), "board.waist_width"),
    (("process cyan", "process blue"), "ink[3].colour"),
    (('"45 lpi"', '"45 lpi"\ntone_curve = [[50, 60], [40, 70]]'), "halftone.tone_curve"),
])
def test_bad_input_leaves_nothing(
    small_job: Write, tmp_path: Path, replacement: tuple[str, str], found: str
) -> None:
    job = small_job(replacement)
    with pytest.raises(InputProblem) as caught:
        run_job(job, tmp_path / "out")
    assert found in caught.value.sentence
    assert sorted(p.name for p in tmp_path.iterdir()) == ["job"]


def test_one_ink_and_spot_inks_with_a_line_ink(small_job: Write, tmp_path: Path) -> None:
    text = small_job().read_text(encoding="utf-8")
    head = text.split("[[ink]]")[0].replace('black_ink = "Black"', "").replace(
        'ink = "Black"', 'ink = "Rust lines"')
    for number, inks in enumerate((
        '[[ink]]\nname = "Night"\ncolour = "night blue"\nangle = 22.5\n',
        '[[ink]]\nname = "Sun"\ncolour = "sun orange"\nangle = 7.5\n'
        '[[ink]]\nname = "Lake"\ncolour = "lake blue"\nangle = 22.5\n',
    )):
        path = tmp_path / "job" / f"spot{number}.toml"
        path.write_text(head + inks + '[[ink]]\nname = "Rust lines"\nover_white = [38, 34, 30]\n'
                        'opacity = 0.6\nprints = "line work"\nangle = 0\n', encoding="utf-8")
        outcome = run_job(path, tmp_path / f"out{number}")
        assert len(outcome.films) == 2 + number
        lines = outcome.films[-1]
        assert 0 < lines.mean_tone < 0.1
