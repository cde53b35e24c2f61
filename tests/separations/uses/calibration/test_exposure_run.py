"""Exposure by steps: its films, its table, and the times kept in the press profile."""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.colour.press_profile_file import read_press_profile
from separations.pipeline.calls import check_job
from separations.report.exposure_words import exposures_told
from separations.uses.calibration.exposure_films import ROW_PERCENT, ROWS, cloths_to_expose
from separations.uses.calibration.exposure_run import learn_exposure, make_exposure_films
from tests.coarse_job import write_coarse_job
from tests.separations.films.decoded_images import decoded_dots

Fill = Callable[..., Path]


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return write_coarse_job(tmp_path / "job")


@pytest.fixture
def filled(job: Path, tmp_path: Path) -> Fill:
    """Fills in the table that was written with the films, a text a row."""
    def fill(holds: str, dots: str = "", steps: str = "", hours: str = "") -> Path:
        out = tmp_path / "films"
        if not out.exists():
            make_exposure_films(job, out, middle_s=60)
        with (out / "exposure.csv").open(encoding="utf-8-sig", newline="") as file:
            rows = list(csv.DictReader(file))
        told = [text.split() or [""] * ROWS for text in (holds, dots, steps)]
        for row, *cells in zip(rows, *told, strict=True):
            for head, cell in zip(("solid holds", "smallest dot %", "solid step"), cells,
                                  strict=True):
                row[head] = cell.replace("-", "")
            row["lamp hours"] = hours
        path = job.with_name("read.csv")
        with path.open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, rows[0])
            writer.writeheader()
            writer.writerows(rows)
        return path
    return fill


def test_each_row_shows_the_same_tones_and_column_one_is_clear(job: Path, tmp_path: Path) -> None:
    made = make_exposure_films(job, tmp_path / "films", middle_s=60)
    assert made == ("exposure-01-120-34.pdf",)  # both inks share a cloth
    (cloth,) = cloths_to_expose(read_job(job))
    assert (cloth.told, cloth.inks) == ("mesh 120-34", tuple(ink.name for ink in read_job(job).ink))
    with (tmp_path / "films" / "exposure.csv").open(encoding="utf-8-sig", newline="") as file:
        assert {row["film for"] for row in csv.DictReader(file)} == {"mesh 120-34"}
    dots = decoded_dots(tmp_path / "films" / made[0])
    pixel_mm = 25.4 / 300
    for row in range(ROWS):
        top = round((1.0 + row * 16.5 + 4.5 + 1.0) / pixel_mm)
        for column, percent in enumerate(ROW_PERCENT):
            left = round((1.0 + column * 14.0 + 1.0) / pixel_mm)
            patch = dots[top:top + round(10 / pixel_mm), left:left + round(10 / pixel_mm)]
            assert patch.mean() == pytest.approx(percent / 100, abs=0.025)
            assert patch.any() == (percent > 0)
    words = (tmp_path / "films" / "exposure.txt").read_text(encoding="utf-8")
    for part in ("Cover row A", "UV light", "safety data sheet", "density 0.15"):
        assert part in words


def test_rows_are_half_a_stop_apart_and_told_as_further_times_and_densities(
        job: Path, tmp_path: Path) -> None:
    make_exposure_films(job, tmp_path / "films", middle_s=60)
    with (tmp_path / "films" / "exposure.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    seconds = np.array([float(row["seconds"]) for row in rows])
    assert seconds[4] == 60
    np.testing.assert_allclose(seconds[1:] / seconds[:-1], 10**0.15, rtol=0.01)
    np.testing.assert_allclose(np.cumsum([float(row["expose further s"]) for row in rows]),
                               seconds, atol=0.01)
    np.testing.assert_allclose(seconds[-1] * 10 ** -np.array(
        [float(row["less density"]) for row in rows]), seconds, rtol=0.01)


def test_times_are_kept_in_a_press_profile_and_told(job: Path, filled: Fill,
                                                    tmp_path: Path) -> None:
    read = filled("no no no yes yes yes yes yes yes", "5 3 3 2 2 2 3 5 10", hours="310")
    learn_exposure(job, read, tmp_path / "press")
    profile = read_press_profile(tmp_path / "press" / "press_profile.toml")
    (known,) = profile.exposure
    assert (known.best_s, known.smallest_dot, known.lamp_hours) == (42.5, 0.02, 310)
    assert known.low_s == pytest.approx((30.1 * 42.5) ** 0.5, abs=0.1)
    assert known.high_s == 84.8  # from there on dots of 2 % close
    (job.with_name("press.toml")).write_bytes(
        (tmp_path / "press" / "press_profile.toml").read_bytes())
    text = job.read_text(encoding="utf-8")
    job.write_text(text.replace("boards = 3", 'boards = 3\npress_profile = "press.toml"'),
                   encoding="utf-8")
    told = read_job(job)
    mesh, lamps = exposures_told(told)
    assert "expose 42 s (36 to 85 s): read by steps on 2026-11-25" in mesh
    assert "the lamp at 310 h, with dots of 2 % open" in mesh
    assert "smaller than those that were open" in mesh
    assert "500 hours" in lamps
    later = replace(told, date=date(2027, 7, 1))
    assert "That was 218 days before this job" in exposures_told(later)[0]
    before = {finding.id: finding.grade for finding in check_job(job).findings}
    job.write_text(text, encoding="utf-8")
    assert before == {finding.id: finding.grade for finding in check_job(job).findings}
    # A second reading takes the place of the first.
    job.write_text(text.replace("boards = 3", 'boards = 3\npress_profile = "press.toml"'),
                   encoding="utf-8")
    again = learn_exposure(job, filled("no no no no yes yes yes yes yes"), tmp_path / "again")
    assert [one.best_s for one in again.exposure] == [60.0]


def test_more_readings_of_a_scale_narrow_the_range(job: Path, filled: Fill,
                                                   tmp_path: Path) -> None:
    holds = "no no no yes yes yes yes yes yes"
    one = learn_exposure(job, filled(holds, steps="- - - - 7 - - - -"), tmp_path / "one")
    many = learn_exposure(job, filled(holds, steps="- - - 6 7 8 9 - -"), tmp_path / "many")
    first, second = one.exposure[0], many.exposure[0]
    assert first.best_s == second.best_s == pytest.approx(60, abs=0.1)
    assert second.high_s / second.low_s == pytest.approx((first.high_s / first.low_s) ** 0.5,
                                                         rel=0.01)


@pytest.mark.parametrize(("holds", "says"), [
    ("no " * ROWS, "mesh 120-34: found no row whose solid holds; the film exposed again with twice "
     "the middle time would do."),
    ("no no yes no yes yes yes yes yes", "mesh 120-34: found a solid that holds beside a longer-"
     "exposed one that does not; the film exposed again, or the slip mended, would do."),
    ("no no yes maybe yes yes yes yes yes",
     "line 5, solid holds: found 'maybe'; yes or no would do."),
    ("", "found no 'solid holds' filled in; yes or no for each row that was exposed would do."),
])
def test_what_was_read_in_vain_is_one_sentence(job: Path, filled: Fill, tmp_path: Path,
                                               holds: str, says: str) -> None:
    read = filled(holds)
    with pytest.raises(InputProblem) as caught:
        learn_exposure(job, read, tmp_path / "press")
    assert caught.value.sentence == f"{read}: {says}"
    assert not (tmp_path / "press").exists()


def test_without_any_time_to_begin_from_nothing_is_made(job: Path, tmp_path: Path) -> None:
    with pytest.raises(InputProblem, match="--middle with the time of the emulsion's data sheet"):
        make_exposure_films(job, tmp_path / "films")
    assert not (tmp_path / "films").exists()
