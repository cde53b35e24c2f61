"""Sums over all jobs, held against stock; which screens and jobs go together."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
from PIL import Image

from preflight.input_problem import InputProblem
from separations.stock.ink_stock import InkStock, StockInk, read_stock
from separations.uses.season.job_list import ListedJob
from separations.uses.season.job_result import JobResult
from separations.uses.season.overview_figures import overview_of, overview_values
from separations.uses.season.overview_files import (
    keep_clear_of_jobs,
    overview_folder,
    write_overview,
)
from separations.uses.season.small_boards import small_boards

Results = tuple[JobResult, ...]
SHELF = InkStock(name="Shelf", ink=(
    StockInk(name="Coast cyan", colour="process cyan", grams=650),
    StockInk(name="black", colour="process black", grams=1000),
    StockInk(name="Spare black", colour="process black", grams=1)))


def test_ink_of_all_jobs_is_summed_and_held_against_the_stock(results: Results) -> None:
    cyan, black, heather = overview_of(results, SHELF).inks
    assert (cyan.ink, cyan.run_g, cyan.jobs) == ("Cyan", (400, 800, 1600),
                                                 ("Tern & <tide>", "Alder carr"))
    assert (cyan.stock_ink, cyan.stock_g, cyan.short_g) == ("Coast cyan", 650, 150)
    assert (black.run_g[1], black.stock_ink, black.short_g) == (210, "black", 0)
    assert (heather.stock_ink, heather.stock_g, heather.short_g) == (None, None, None)
    assert all(ink.stock_ink is None for ink in overview_of(results).inks)


def test_two_inks_of_a_colour_are_not_guessed_between(results: Results) -> None:
    blacks = InkStock(name="Shelf", ink=tuple(
        StockInk(name=name, colour="process black", grams=5) for name in ("Soot", "Coal")))
    assert all(ink.stock_ink is None for ink in overview_of(results, blacks).inks)


def test_screens_are_told_by_cloth_and_jobs_alike_together(results: Results) -> None:
    overview = overview_of(results)
    many, few = overview.cloths
    assert (many.mesh, many.screens, many.jobs, many.inks) == ("120/cm", 5, 3, ("Cyan", "Black"))
    assert (few.mesh, few.screens, few.rulings) == ("100/cm", 1, ("20 l/cm",))
    assert [row.jobs for row in overview.rows] == [
        ("Tern & <tide>", "Alder carr"), ("Reed bed",)]


def test_jobs_of_one_title_are_told_apart_by_their_files(results: Results) -> None:
    alike = [replace(one, title="Marsh") for one in results[:2]]
    assert overview_of([*alike, results[2]]).rows[0].jobs == ("Marsh (tern)", "Marsh (alder)")


def test_the_folder_holds_page_figures_and_tables(results: Results, tmp_path: Path) -> None:
    folder = tmp_path / "winter" / "overview"
    write_overview(results, folder, SHELF)
    values = json.loads((folder / "overview.json").read_text(encoding="utf-8"))
    schema = files("separations.uses.season").joinpath("overview_schema.json").read_text()
    jsonschema.validate(values, json.loads(schema))
    assert values == json.loads(json.dumps(overview_values(overview_of(results, SHELF))))
    rows = list(csv.DictReader(io.StringIO((folder / "jobs.csv").read_text(encoding="utf-8"))))
    assert [row["grade"] for row in rows] == ["care", "clear", "stop", ""]
    assert [row["made"] for row in rows] == ["yes", "yes", "yes", "no"]
    assert rows[0]["run_g_likely"] == "400.0"
    inks = list(csv.DictReader(io.StringIO((folder / "inks.csv").read_text(encoding="utf-8"))))
    assert [row["short_g"] for row in inks] == ["150.0", "0.0", ""]
    assert 'src="http' not in (folder / "overview.html").read_text(encoding="utf-8")


def test_the_same_jobs_give_the_same_overview_now_and_later(
        results: Results, tmp_path: Path) -> None:
    from dataclasses import replace

    later = tuple(replace(r, state="as before", seconds=0.0, peak_mib=0.0)
                  if r.state == "made" else r for r in results)
    first, second = tmp_path / "a", tmp_path / "b"
    write_overview(results, first)
    write_overview(later, second)
    for path in first.iterdir():
        assert path.read_bytes() == (second / path.name).read_bytes()


def test_boards_are_small_and_a_missing_one_is_left_out(results: Results) -> None:
    Path(results[1].out, "proof.png").write_bytes(b"no picture")
    first, broken, last, not_made = small_boards(results)
    assert broken is None
    assert not_made is None
    assert first is not None
    assert last is not None
    with Image.open(io.BytesIO(first.data)) as board:
        assert board.size == (560, 112)


def test_the_folder_lies_with_the_outputs_or_beside_the_jobs(tmp_path: Path) -> None:
    assert overview_folder([tmp_path], None) == tmp_path / "overview"
    assert overview_folder([tmp_path / "a.toml"], None) == tmp_path / "overview"
    assert overview_folder([tmp_path], Path("made")) == Path("made/overview")
    listed = [ListedJob(tmp_path / "a.toml", tmp_path / "a-out")]
    keep_clear_of_jobs(tmp_path / "overview", listed)
    for place in (tmp_path, tmp_path / "a-out"):
        with pytest.raises(InputProblem, match="or of its output; another folder"):
            keep_clear_of_jobs(place, listed)


def test_a_stock_list_may_tell_what_is_there(tmp_path: Path) -> None:
    path = tmp_path / "shelf.toml"
    text = 'name = "Shelf"\n[[ink]]\nname = "Black"\ncolour = "process black"\ngrams = {}\n'
    path.write_text(text.format(850), encoding="utf-8")
    assert read_stock(path).ink[0].grams == 850
    path.write_text(text.format(-1), encoding="utf-8")
    with pytest.raises(InputProblem, match="grams such as 850"):
        read_stock(path)
