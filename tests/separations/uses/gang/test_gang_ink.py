"""A gang's ink: what its pieces take together, and pulls for every job's boards."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from preflight.input_problem import InputProblem
from separations.command_line import topsheet
from separations.ink_need.ink_estimate import LEFT_IN_SCREEN_ML, RUN_LOSS
from separations.pipeline.calls import estimate_job_ink
from separations.uses.gang.gang_run import make_gang
from tests.coarse_job import write_coarse_job
from tests.separations.uses.gang.test_gang_films import HEAD


def _gang(folder: Path, *jobs: str) -> Path:
    path = folder / "gang.toml"
    path.write_text(HEAD + "".join(f'[[piece]]\njob = "{job}"\n' for job in jobs),
                    encoding="utf-8")
    return path


def _change(job: Path, old: str, new: str) -> None:
    text = job.read_text(encoding="utf-8")
    assert old in text
    job.write_text(text.replace(old, new), encoding="utf-8")


@pytest.fixture
def jobs(tmp_path: Path) -> Path:
    """The folder of marsh.toml, 12 boards, and of part.toml, shorter, 5 boards."""
    folder = tmp_path / "job"
    write_coarse_job(folder, ('length = "30 cm"', 'length = "24 cm"'), name="part")
    job = write_coarse_job(folder)
    for name, boards in (("marsh", 12), ("part", 5)):
        path = folder / f"{name}.toml"
        _change(path, "boards = 3", f"boards = {boards}")
    return job.parent


@pytest.mark.long
def test_a_pull_takes_what_the_pieces_take_each_alone(jobs: Path, tmp_path: Path) -> None:
    made = make_gang(_gang(jobs, "marsh.toml", "part.toml"), tmp_path / "gang")
    alone = [estimate_job_ink(jobs / f"{name}.toml", tmp_path / name).estimates
             for name in ("marsh", "part")]
    assert made.pulls == 12
    for together, *each in zip(made.estimates, *alone, strict=True):
        assert together.inked_cm2 == pytest.approx(sum(e.inked_cm2 for e in each), rel=1e-3)
        assert together.board_g.likely == pytest.approx(
            sum(e.board_g.likely for e in each), rel=1e-3)
        assert together.run_ml.likely == pytest.approx(
            12 * together.board_ml.likely * (1 + RUN_LOSS[1]) + LEFT_IN_SCREEN_ML[1])
        assert 0 < together.mean_tone < 1
    with (tmp_path / "gang" / "ink.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["ink"] for row in rows] == [*(e.ink for e in made.estimates), "all inks"]
    assert {row["pulls"] for row in rows} == {"12"}
    assert float(rows[0]["one_pull_g_likely"]) == pytest.approx(
        made.estimates[0].board_g.likely, abs=0.01)
    told = json.loads((tmp_path / "gang" / "gang.json").read_text(encoding="utf-8"))
    assert told["pulls"] == 12


@pytest.mark.parametrize(("pieces", "pulls"), [
    (("part.toml",), 5), (("part.toml", "part.toml"), 3),
    (("marsh.toml", "part.toml", "marsh.toml"), 6)])
def test_a_job_that_lies_there_twice_needs_half_the_pulls(
        jobs: Path, tmp_path: Path, pieces: tuple[str, ...], pulls: int,
        capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        topsheet(["gang", str(_gang(jobs, *pieces)), "--out", str(tmp_path / "gang")])
    said = capsys.readouterr().out
    assert f"{pulls} pulls print every job's boards." in said
    assert "one pull" in said


@pytest.mark.long
def test_woods_that_take_differently_widen_the_range(jobs: Path, tmp_path: Path) -> None:
    sheet = _gang(jobs, "marsh.toml", "part.toml")
    alike = make_gang(sheet, tmp_path / "alike").estimates[0]
    _change(jobs / "part.toml", "[halftone]", '[wood]\nabsorption = "40 %"\n[halftone]')
    thirsty = make_gang(sheet, tmp_path / "thirsty").estimates[0]
    assert thirsty.inked_cm2 == pytest.approx(alike.inked_cm2, rel=0.02)
    assert thirsty.board_ml.low <= alike.board_ml.low * 1.02
    assert thirsty.board_ml.likely > alike.board_ml.likely
    assert thirsty.board_ml.high > alike.board_ml.high * 1.1


@pytest.mark.parametrize(("line", "key"), [
    ("density = 1.9", "density"), ("left_in_screen = 90", "left_in_screen")])
def test_one_tin_and_one_screen_have_one_density_and_one_rest(
        jobs: Path, tmp_path: Path, line: str, key: str) -> None:
    _change(jobs / "part.toml", 'name = "Cyan"\n', f'name = "Cyan"\n{line}\n')
    with pytest.raises(InputProblem, match=rf"part\.toml: ink\[1\]\.{key}: found '.*as in marsh"):
        make_gang(_gang(jobs, "marsh.toml", "part.toml"), tmp_path / "gang")
