"""The press day from job files: the page, its figures, and the same bytes again."""

from __future__ import annotations

import json
from pathlib import Path

import pypdfium2
import pytest

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.ink_need.ink_estimate import Range, estimate_ink
from separations.ink_need.ink_orders import InkOrder
from separations.report.cautions import cautions_for
from separations.uses.press_day.day_page import day_pdf
from separations.uses.press_day.day_plan import SideOfDay, plan_day
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
    assert [(one["ink"], one["hits"]) for one in told["inks"]] == [
        (ink, 2) for ink in ("Yellow", "Magenta", "Cyan", "Black")]
    black = sum(hit["run_g"]["likely"] for hit in hits if hit["ink"] == "Black")
    # Three figures, each rounded to tenths.
    assert told["inks"][3]["run_g"]["likely"] == pytest.approx(black, abs=0.151)
    assert told["ink_g"]["high"] == pytest.approx(sum(one["run_g"]["high"]
                                                      for one in told["inks"]), abs=0.3)
    assert f"Black {black:.0f} g (" in text
    assert f"all inks {told['ink_g']['likely']:.0f} g (" in text
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


def test_a_day_of_twelve_hits_with_few_screens_still_fits_one_page(tmp_path: Path) -> None:
    spots = "".join(f'[[ink]]\nname = "Spot {k}"\ncolour = "ember red"\ncure = "air"\n'
                    f'prints = "line work"\nangle = {10 * k}\n' for k in (1, 2))
    sides = []
    for side in ("base", "top"):
        path = write_small_job(
            tmp_path / side, ('stage = "sheet"', 'stage = "board"'),
            ("boards = 3", f'boards = 3\nside = "{side}"'),
            ('thread = "34 um"', 'thread = "34 um"\nexposed = "40 s"\nsolid_step = 6'),
            ("[halftone]", "[day]\nscreens = 3\n[halftone]"))
        path.write_text(path.read_text(encoding="utf-8") + spots, encoding="utf-8")
        job = read_job(path)
        sides.append(SideOfDay(job=job, revision="ABCDEFGH", estimates=tuple(
            estimate_ink(ink=ink.name, inked_mm2=4000.0, printed_mm2=2e4, ink_volume_um=16.0,
                         deposit=Range(low=8.0, likely=11.0, high=15.0),
                         density_g_per_ml=ink.density, boards=job.boards) for ink in job.ink)))
    need = Range(low=108.0, likely=206.0, high=326.0)
    plan = plan_day(sides, [InkOrder(ink=f"Spot {k}", stock_ink=f"Spot {k}", on_shelf_g=120.0,
                                     reckoned_g=need, expected_g=need) for k in range(6)])
    assert plan.notes[0] == "Ink: Spot 0: order 206 g; 120 g left, the run takes 108 to 326 g."
    with pypdfium2.PdfDocument(day_pdf(plan)) as document:
        assert len(document) == 1
        words = document[0].get_textpage()
        text = " ".join(words.get_text_bounded().split())
        boxes = [words.get_rect(k) for k in range(words.count_rects())]
        wide, high = document[0].get_size()
    left, foot, right, top = zip(*boxes, strict=True)
    # Printers of offices reach to 5 mm or so of a sheet's edge (common practice, no source).
    assert min(*left, *foot, wide - max(right), high - max(top)) > 10 / 25.4 * 72
    assert len(plan.hits) == 12
    assert "Basis of steps and waits: a: cured under the lamp; the ink's data sheet decides" in text


def test_the_page_is_never_written_over_a_job(jobs: list[Path]) -> None:
    with pytest.raises(InputProblem, match="another output folder"):
        write_day(jobs, jobs[1].parent)
