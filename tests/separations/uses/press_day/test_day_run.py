"""The press day from job files: the page, its figures, and the same bytes again."""

from __future__ import annotations

import json
from pathlib import Path

import pypdfium2
import pytest

from preflight.input_problem import InputProblem
from separations.report.cautions import cautions_for
from separations.uses.press_day.day_run import write_day
from tests.small_art import write_small_job


@pytest.fixture(scope="module")
def jobs(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Both sides of one small board."""
    folder = tmp_path_factory.mktemp("day")
    board = ('stage = "sheet"', 'stage = "board"')
    read = ('thread = "34 um"', 'thread = "34 um"\nexposed = "40 s"\nsolid_step = 6')
    return [write_small_job(folder / "top", board, read),
            write_small_job(folder / "base", board, ("boards = 3", 'boards = 3\nside = "base"'))]


def test_page_and_figures_tell_the_same_day(jobs: list[Path], tmp_path: Path) -> None:
    plan = write_day(jobs, tmp_path / "out")
    told = json.loads((tmp_path / "out" / "day.json").read_text(encoding="utf-8"))
    with pypdfium2.PdfDocument(tmp_path / "out" / "day.pdf") as document:
        assert len(document) == 1
        text = " ".join(document[0].get_textpage().get_text_bounded().split())
    hits = [step for step in told["steps"] if step["kind"] == "hit"]
    assert [(hit["side"], hit["ink"]) for hit in hits] == [
        (side, ink) for side in ("base", "top") for ink in ("Yellow", "Magenta", "Cyan", "Black")]
    for hit, step in zip(hits, plan.hits, strict=True):
        assert step.run_g is not None
        assert hit["run_g"]["likely"] == round(step.run_g.likely, 1)
        assert f"{step.run_g.likely:.0f} (" in text
    assert told["exposing"][0].startswith(
        "Stencils on mesh 120/cm, thread 34 µm: expose 57 s (48 to 67 s)")
    assert all(" ".join(words.split()) in text for words in told["exposing"])
    for side in told["jobs"]:
        assert f"revision {side['revision']}" in text
    assert told["jobs"][0]["revision"] != told["jobs"][1]["revision"]
    for caution in cautions_for("board"):
        assert caution.hazard in text
    again = write_day(jobs, tmp_path / "again")
    assert again.steps == plan.steps
    for name in ("day.json", "day.pdf"):
        assert (tmp_path / "again" / name).read_bytes() == (tmp_path / "out" / name).read_bytes()


def test_the_page_is_never_written_over_a_job(jobs: list[Path]) -> None:
    with pytest.raises(InputProblem, match="another output folder"):
        write_day(jobs, jobs[1].parent)
