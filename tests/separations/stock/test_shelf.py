"""What a job must order beyond the shelf, and what is past its date."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from preflight.files.file_contents import FileContents
from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from preflight.job_file.job_revision import job_revision
from separations.ink_need.ink_estimate import InkEstimate, Range, estimate_ink
from separations.pipeline.job_folder import keep_clear_of_inputs
from separations.pipeline.made_of import made_of
from separations.stock.ink_book import Entry, book, book_path
from separations.stock.ink_stock import read_stock
from separations.stock.shelf import job_orders, shared_orders, stock_files, stock_left

SHELF = """name = "Shelf"
[[ink]]
name = "Process yellow"
colour = "process yellow"
grams = 2000
use_by = 2026-11-01
[[ink]]
name = "magenta"
colour = "process magenta"
grams = 100
[[ink]]
name = "Cyan"
colour = "process cyan"
grams = 5000
"""


def estimates_of(job: Job) -> list[InkEstimate]:
    return [estimate_ink(
        ink=ink.name, inked_mm2=4000.0, printed_mm2=20_000.0, ink_volume_um=16.0,
        deposit=Range(low=8.0, likely=11.0, high=15.0), density_g_per_ml=ink.density,
        boards=job.boards) for ink in job.ink]


def words_of(path: Path) -> tuple[str, ...]:
    job = read_job(path)
    return tuple(word for one in job_orders(job, estimates_of(job)) for word in one.words)


def test_each_ink_is_held_against_the_shelf(small_job: Callable[..., Path]) -> None:
    """Yellow is found by its colour and is past its date, Magenta short, Cyan there, Black not."""
    path = small_job(("boards = 3", 'boards = 3\nstock = "shelf.toml"'))
    (path.parent / "shelf.toml").write_text(SHELF, encoding="utf-8")
    yellow, magenta, black = words_of(path)
    assert yellow.startswith("Yellow (Process yellow): past its use-by date, 2026-11-01")
    assert magenta.startswith("Magenta: order 2")
    assert "g; 100 g left, the run takes " in magenta
    assert black.startswith("Black: not on the stock list; order 3")


def test_an_ink_that_two_sides_need_is_ordered_once_for_both(
        small_job: Callable[..., Path]) -> None:
    """Cyan is enough for either side and short for both; what is not told is not taken for none."""
    path = small_job(("boards = 3", 'boards = 3\nstock = "shelf.toml"'))
    job = read_job(path)
    most = estimates_of(job)[2].run_g.high
    (path.parent / "shelf.toml").write_text(
        SHELF.replace("grams = 5000", f"grams = {1.5 * most:.0f}").replace("grams = 100\n", ""),
        encoding="utf-8")
    assert not any(word.startswith("Cyan") for word in words_of(path))
    words = [word for one in shared_orders([(job, estimates_of(job))] * 2) for word in one.words]
    cyan = [word for word in words if word.startswith("Cyan")]
    least, there = estimates_of(job)[2].run_g.low, round(1.5 * most)
    assert cyan == [f"Cyan: order {2 * most - there:.0f} g; {there} g left, the run "
                    f"takes {2 * least:.0f} to {2 * most:.0f} g"]
    assert len([word for word in words if word.startswith("Black")]) == 1
    assert any(word.startswith("Magenta: the stock list does not say how much is left; ")
               for word in words)


def test_without_a_stock_list_nothing_is_said(small_job: Callable[..., Path]) -> None:
    assert words_of(small_job()) == ()


def test_weighed_runs_change_what_is_expected_and_ordered(small_job: Callable[..., Path]) -> None:
    path = small_job(("boards = 3", 'boards = 3\nstock = "shelf.toml"'))
    shelf_path = path.parent / "shelf.toml"
    shelf_path.write_text(SHELF, encoding="utf-8")
    before = words_of(path)
    stock = read_stock(shelf_path)
    day = datetime.date(2026, 11, 20)
    book(shelf_path, stock, [Entry(date=day, ink="Cyan", kind="used", grams=240.0,
                                   reckoned_g=200.0)] * 4)
    added = [word for word in words_of(path) if word not in before]
    assert len(added) == 1
    assert added[0].startswith("Cyan: going by 4 weighed runs, expect ")
    assert added[0].endswith(" reckoned from the films")


def test_the_list_of_a_day_has_what_its_book_leaves(tmp_path: Path) -> None:
    path = tmp_path / "shelf.toml"
    path.write_text(SHELF.replace("grams = 100\n", ""), encoding="utf-8")
    book(path, read_stock(path), [Entry(date=datetime.date(2026, 11, 20), ink="Cyan", kind="used",
                                        grams=1200.0)])
    assert [ink.grams for ink in stock_left(path).ink] == [2000.0, None, 3800.0]


def test_an_output_is_made_of_the_stock_list_and_its_book_too(
        small_job: Callable[..., Path]) -> None:
    """A changed shelf asks for another report, and never changes the revision on the films."""
    path = small_job(("boards = 3", 'boards = 3\nstock = "shelf.toml"'))
    shelf_path = path.parent / "shelf.toml"
    shelf_path.write_text(SHELF, encoding="utf-8")
    job = read_job(path)
    told = made_of(job, FileContents())
    assert {"file": "shelf.toml"}.items() <= next(
        file for file in told["files"] if file["file"] == "shelf.toml").items()
    revision = job_revision(job, FileContents().digest)
    book(shelf_path, read_stock(shelf_path), [Entry(
        date=datetime.date(2026, 11, 20), ink="Cyan", kind="used", grams=1.0)])
    assert stock_files(job) == (shelf_path, book_path(shelf_path))
    assert made_of(job, FileContents()) != told
    assert job_revision(job, FileContents().digest) == revision
    with pytest.raises(InputProblem, match="which the job is made from"):
        keep_clear_of_inputs(replace(job, stock="shelf.toml"), path.parent)
