"""What a job must order beyond the shelf, and what is past its date."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from pathlib import Path

from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from separations.ink_need.ink_estimate import InkEstimate, Range, estimate_ink
from separations.uses.ink_choice.ink_stock import read_stock
from separations.uses.stock.ink_book import Entry, book
from separations.uses.stock.shelf import shared_stock_words, stock_words

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
    return stock_words(job, estimates_of(job))


def test_each_ink_is_held_against_the_shelf(small_job: Callable[..., Path]) -> None:
    """Yellow is found by its colour and is past its date, Magenta short, Cyan there, Black not."""
    path = small_job(("boards = 3", 'boards = 3\nstock = "shelf.toml"'))
    (path.parent / "shelf.toml").write_text(SHELF, encoding="utf-8")
    yellow, magenta, black = words_of(path)
    assert yellow.startswith("Yellow (Process yellow): past its date, 2026-11-01")
    assert magenta.startswith("Magenta: order 2")
    assert "100 g are on the shelf" in magenta
    assert black.startswith("Black: not on the shelf; order 3")


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
    words = shared_stock_words([(job, estimates_of(job))] * 2)
    cyan = [word for word in words if word.startswith("Cyan")]
    least, there = estimates_of(job)[2].run_g.low, round(1.5 * most)
    assert cyan == [f"Cyan: order {2 * most - there:.0f} g; {there} g are on the shelf, the run "
                    f"takes {2 * least:.0f} to {2 * most:.0f} g"]
    assert len([word for word in words if word.startswith("Black")]) == 1
    assert any(word.startswith("Magenta: how much is on the shelf is not told; ")
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
    assert added[0].endswith("reckoned")
