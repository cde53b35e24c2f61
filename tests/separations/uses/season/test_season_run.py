"""Many jobs in one call: all made though one is bad, within memory, left where nothing changed."""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import psutil
import pytest

from separations.pipeline.calls import run_job
from separations.uses.season.job_list import listed_jobs
from separations.uses.season.job_result import JobResult, status_of_all
from separations.uses.season.season_run import SeasonOptions, SeasonProgress, make_season
from tests.season_jobs import digests, write_tiny_jobs


class Made:
    """A folder of three jobs, the second of them bad, and what a call made of them."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.jobs = write_tiny_jobs(folder, 3)
        bad = self.jobs[1].read_text(encoding="utf-8")
        self.jobs[1].write_text(bad.replace('"14 lpi"', '"14 lppi"'), encoding="utf-8")
        self.progress: list[SeasonProgress] = []
        self.told: list[JobResult] = []
        self.results = self.call()

    def call(self, **further: Any) -> tuple[JobResult, ...]:
        self.progress, self.told = [], []
        return make_season(listed_jobs([self.folder]), SeasonOptions(**further),
                           tell=self.told.append, progress=self.progress.append)

    def states(self, **further: Any) -> list[str]:
        return [result.state for result in self.call(**further)]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    return Made(tmp_path_factory.mktemp("season") / "winter")


def test_one_bad_job_stops_none(made: Made) -> None:
    first, bad, last = made.results
    assert [first.state, bad.state, last.state] == ["made", "not made", "made"]
    assert "found '14 lppi'" in bad.says
    assert [Path(bad.job).name, Path(bad.out).name] == ["board-02.toml", "board-02-out"]
    assert bad.grade is None
    assert first.films == last.films == 1
    assert status_of_all(made.results) == 2
    assert status_of_all((first, last)) == 0
    assert not (made.folder / "board-02-out").exists()
    assert not [p for p in made.folder.iterdir() if p.name.startswith(".")]


def test_a_result_is_what_the_report_tells(made: Made) -> None:
    first = made.results[0]
    report = json.loads((Path(first.out) / "report.json").read_text(encoding="utf-8"))
    assert first.title == report["job"]["title"] == "Marsh light 1"
    assert len(first.findings) == len(report["findings"]) > 2
    grades = [finding.grade for finding in first.findings]
    assert grades == sorted(grades, key=["stop", "care", "note"].index)
    assert first.grade == grades[0]
    assert first.screens[0].run_g == tuple(report["ink_estimates"][0]["run_g"].values())
    assert first.peak_mib > 200
    assert first.seconds > 0


def test_lines_of_json_keep_their_schema(made: Made) -> None:
    schema = json.loads(files("separations.uses.season").joinpath("season_schema.json").read_text())
    for result in made.results:
        line = result.as_line()
        assert "\n" not in line
        jsonschema.validate(json.loads(line), schema)


def test_the_bytes_are_those_of_a_run_alone(made: Made) -> None:
    alone = made.folder.parent / "alone"
    run_job(made.jobs[0], alone)
    assert digests(alone) == digests(made.folder / "board-01-out")


def test_what_did_not_change_is_left_and_what_did_is_made(made: Made) -> None:
    before = digests(made.folder)
    photo = made.folder / "photo.png"
    photo.write_bytes(photo.read_bytes())  # as new as can be, and holds the same
    assert made.states() == ["as before", "not made", "as before"]
    assert digests(made.folder) == before
    assert all(not progress.at_work for progress in made.progress)

    made.jobs[2].write_text(made.jobs[2].read_text(encoding="utf-8") + "\n# a remark\n",
                            encoding="utf-8")
    (made.folder / "board-01-out" / "films" / "01-Black.pdf").unlink()
    assert made.states() == ["made", "not made", "made"]
    after = digests(made.folder)
    assert {name for name in before if before[name] != after[name]} == {
        "board-03.toml", "board-03-out/made-of.json", "board-03-out/.topsheet-folder"}


def test_jobs_wait_for_memory_and_are_made_again_where_that_is_asked_for(made: Made) -> None:
    before = digests(made.folder / "board-01-out")
    assert made.states(again=True, at_once=2, memory_bytes=900 * 2**20).count("made") == 2
    assert max(len(progress.at_work) for progress in made.progress) == 1
    assert digests(made.folder / "board-01-out") == before


def test_a_job_that_takes_more_than_all_may_is_told(made: Made) -> None:
    before = digests(made.folder / "board-01-out")
    results = made.call(again=True, memory_bytes=64 * 2**20)
    assert [result.state for result in results] == ["not made"] * 3
    assert "found a need for more than 64 MiB of memory" in results[0].says
    assert digests(made.folder / "board-01-out") == before


def test_a_changed_output_is_refused_for_that_job_alone(made: Made) -> None:
    sheet = made.folder / "board-01-out" / "ink.csv"
    kept = sheet.read_bytes()
    sheet.write_text("my own remarks", encoding="utf-8")
    results = made.call()
    sheet.write_bytes(kept)
    assert [result.state for result in results] == ["not made", "not made", "as before"]
    assert "was changed since" in results[0].says
    assert [Path(results[0].job).name, Path(results[0].out).name] == ["board-01.toml",
                                                                      "board-01-out"]


def test_a_job_whose_process_is_ended_is_made_once_more(made: Made) -> None:
    """Twice at most: what the system ends again is told and no other job is held up."""
    ended: list[int] = []

    def end_each_once(progress: SeasonProgress) -> None:
        if progress.at_work and not progress.ended:
            for child in psutil.Process().children():
                if child.pid not in ended and child.memory_info().rss > 150 * 2**20:
                    ended.append(child.pid)
                    child.kill()

    results = make_season(listed_jobs([made.jobs[0]]), SeasonOptions(again=True),
                          progress=end_each_once)
    assert len(ended) == 2
    assert [result.state for result in results] == ["not made"]
    assert "its process ended twice by the system" in results[0].says
    assert not [p for p in made.folder.iterdir() if p.name.startswith(".")]
    assert made.states() == ["as before", "not made", "as before"]
