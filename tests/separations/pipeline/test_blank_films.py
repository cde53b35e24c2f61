"""Films without a dot are a stop, and no ink is ordered for them; spot inks may print alone."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from preflight.findings import Grade
from preflight.job_file.job_reader import read_job
from separations.films.job_label import set_up_lines
from separations.measuring.hold.blank_film import is_blank
from separations.pipeline.calls import check_job, estimate_job_ink, make_films
from separations.pipeline.session import Session
from separations.pipeline.stages import FILM_SHEET
from tests.prepared_jobs import prepare
from tests.small_art import write_small_job

PHOTO = '[[art]]\nfile = "photo.png"\nturn = 90\n'
FLAT = '[[art]]\nkind = "flat"\nink = "Magenta"\ntint = "40 %"\n'
BLACK = '[separation]\nblack_ink = "Black"\n'


def spot_job(folder: Path) -> Path:
    """Line work in black over a tint of magenta; no ink prints a photo."""
    path = write_small_job(folder, (PHOTO, FLAT), (BLACK, ""))
    path.write_text(path.read_text("utf-8").replace("angle =", 'prints = "line work"\nangle ='),
                    encoding="utf-8")
    return path


def blanks(path: Path) -> dict[str, Grade]:
    return {ink: finding.grade for finding in check_job(path).findings
            if finding.id == "film-blank" for ink in finding.subjects}


def test_inks_that_print_nothing_are_stops(tmp_path: Path) -> None:
    assert blanks(spot_job(tmp_path / "job")) == {
        "Yellow": Grade.STOP, "Magenta": Grade.CLEAR, "Cyan": Grade.STOP, "Black": Grade.CLEAR}


def test_a_spot_inks_tint_is_told_as_dots_and_its_line_work_as_none(tmp_path: Path) -> None:
    job = read_job(spot_job(tmp_path / "job"))
    assert {ink.name for ink in job.ink if job.has_dots(ink)} == {"Magenta"}
    magenta, black = job.ink[1], job.ink[3]
    sheet = Session(job.path).of(FILM_SHEET)
    assert set_up_lines(job, magenta, sheet)[0].startswith("tints as film tones · dots ")
    assert "dots" not in set_up_lines(job, black, sheet)[0]


def test_films_are_withheld_for_it(tmp_path: Path) -> None:
    outcome = make_films(spot_job(tmp_path / "job"), tmp_path / "out")
    assert outcome.withheld
    assert not (tmp_path / "out").exists()


def test_a_photo_leaves_no_film_blank(tmp_path: Path) -> None:
    assert set(blanks(write_small_job(tmp_path / "job")).values()) == {Grade.CLEAR}


def test_no_ink_is_ordered_for_a_blank_film(tmp_path: Path) -> None:
    estimates = estimate_job_ink(spot_job(tmp_path / "job"), tmp_path / "out").estimates
    most = {one.ink: one.run_ml.high for one in estimates}
    assert most["Yellow"] == most["Cyan"] == 0
    assert most["Magenta"] > 0 < most["Black"]
    with (tmp_path / "out" / "ink.csv").open(encoding="utf-8") as table:
        rows = {row["ink"]: row for row in csv.DictReader(table)}
    figures = {key: value for key, value in rows["Yellow"].items() if "_ml" in key or "_g" in key}
    assert figures
    assert {float(value) for key, value in figures.items() if "density" not in key} == {0.0}


@pytest.mark.parametrize("ink", ["Yellow", "Magenta", "Cyan", "Black"])
def test_blank_means_not_one_bit(tmp_path: Path, ink: str) -> None:
    from separations.halftone.film_bands import film_bands

    ready = prepare(spot_job(tmp_path / "job"))
    number = [one.name for one in ready.laid.job.ink].index(ink)
    content = ready.contents[number]
    assert is_blank(content) == (not any(band.any() for band in film_bands(content)))


def test_spot_inks_alone_make_films(tmp_path: Path) -> None:
    outcome = make_films(spot_job(tmp_path / "job"), tmp_path / "out", despite_stops=True)
    tones = {film.ink.name: film.mean_tone for film in outcome.films}
    assert tones["Yellow"] == tones["Cyan"] == 0
    assert tones["Magenta"] == pytest.approx(0.38, abs=0.02)  # cut by the lines' knock-out
