"""The ink's book: added to and never changed, whole or not at all, by two at once."""

from __future__ import annotations

import datetime
import sqlite3
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from click.testing import CliRunner

from preflight.input_problem import InputProblem
from separations.commands.stock_command import stock as stock_command
from separations.stock.book_csv import entries_csv, read_entries
from separations.stock.ink_book import Entry, Kind, book, book_path, grams_left, read_book
from separations.stock.ink_stock import InkStock, read_stock
from separations.stock.shelf import shelf

LIST = """name = "Shelf"
[[ink]]
name = "Yellow"
colour = "process yellow"
grams = 500
opened = 2026-01-10
use_by = 2026-11-01
[[ink]]
name = "Reed"
over_white = [36, 18, 26]
"""


@pytest.fixture
def stock_path(tmp_path: Path) -> Path:
    """A stock list of two inks, one with half a kilogram."""
    path = tmp_path / "shelf.toml"
    path.write_text(LIST, encoding="utf-8")
    return path


def entry(kind: Kind, grams: float, ink: str = "Yellow", day: int = 1) -> Entry:
    return Entry(date=datetime.date(2026, 11, day), ink=ink, kind=kind, grams=grams)


def left_in(path: Path) -> dict[str, float]:
    stock = read_stock(path)
    return grams_left(stock, read_book(path))


def test_deliveries_use_and_counts_lead_to_what_is_left(stock_path: Path) -> None:
    assert left_in(stock_path) == {"Yellow": 500.0, "Reed": 0.0}
    stock = read_stock(stock_path)
    book(stock_path, stock, [entry("delivered", 1000), entry("used", 300.5)])
    book(stock_path, stock, [entry("delivered", 200, "Reed"), entry("counted", 1150)])
    assert left_in(stock_path) == {"Yellow": 1150.0, "Reed": 200.0}


def test_use_of_more_than_there_is_is_refused_and_nothing_of_the_table_booked(
        stock_path: Path) -> None:
    stock = read_stock(stock_path)
    with pytest.raises(InputProblem, match="600 g of Yellow used where 550 g are left"):
        book(stock_path, stock, [entry("delivered", 50), entry("used", 600)])
    assert read_book(stock_path) == ()
    book(stock_path, stock, [entry("counted", 700), entry("used", 600)])
    assert left_in(stock_path)["Yellow"] == 100.0


def test_entries_can_be_neither_changed_nor_deleted(stock_path: Path) -> None:
    book(stock_path, read_stock(stock_path), [entry("used", 10)])
    with sqlite3.connect(book_path(stock_path)) as opened:
        for order in ("UPDATE entry SET grams = 1", "DELETE FROM entry"):
            with pytest.raises(sqlite3.IntegrityError, match="entries are added, never"):
                opened.execute(order)
    opened.close()
    assert left_in(stock_path)["Yellow"] == 490.0


def test_many_at_once_lose_nothing_and_never_go_below_zero(stock_path: Path) -> None:
    stock: InkStock = read_stock(stock_path)

    def use(_: int) -> bool:
        try:
            book(stock_path, stock, [entry("used", 30)])
        except InputProblem:
            return False
        return True

    with ThreadPoolExecutor(8) as pool:
        booked = sum(pool.map(use, range(24)))
    assert booked == 16  # of 500 g
    assert left_in(stock_path)["Yellow"] == 20.0
    assert len(read_book(stock_path)) == 16


def test_the_book_goes_out_and_in_as_a_table(stock_path: Path, tmp_path: Path) -> None:
    stock = read_stock(stock_path)
    entries = (entry("delivered", 250.25, "Reed"), Entry(
        date=datetime.date(2026, 11, 3), ink="Yellow", kind="used", grams=12, note="=1+1, run 7"))
    table = tmp_path / "table.csv"
    table.write_text(entries_csv(entries), encoding="utf-8", newline="")
    again = read_entries(table, stock)
    assert again[0] == entries[0]
    assert again[1].note == "'=1+1, run 7"  # no formula for a spreadsheet


@pytest.mark.parametrize(("line", "found"), [
    ("2026-11-01,Blue,used,5,", "the ink 'Blue'"), ("2026-11-01,Reed,lent,5,", "'lent'"),
    ("soon,Reed,used,5,", "the date 'soon'"), ("2026-11-01,Reed,used,-5,", "'-5'"),
    ("2026-11-01,Reed,used,,", "no 'grams'")])
def test_tables_that_make_no_sense_are_refused(stock_path: Path, tmp_path: Path, line: str,
                                               found: str) -> None:
    table = tmp_path / "table.csv"
    table.write_text(f"date,ink,kind,grams,note\n{line}\n", encoding="utf-8")
    with pytest.raises(InputProblem) as refused:
        read_entries(table, read_stock(stock_path))
    assert f"{found}; " in str(refused.value)
    assert "line 2" in str(refused.value)


def test_how_long_ink_lasts_at_the_present_use(stock_path: Path) -> None:
    """200 g in the twenty days from the first use to the last entry: 300 g in 30 days."""
    entries = [entry("used", 160, day=1), entry("used", 40, day=6), entry("counted", 400, day=21)]
    yellow, reed = shelf(read_stock(stock_path), entries)
    assert yellow.used_g_a_month == pytest.approx(300.0)
    assert yellow.lasts_days == pytest.approx(40.0)
    day = datetime.date(2026, 11, 1)
    assert yellow.told(day) == ("Yellow: 400 g left; opened 2026-01-10; use by 2026-11-01; 300 g "
                                "used in 30 days, at which rate it lasts 40 days")
    assert "use by 2026-11-01: PAST ITS DATE" in yellow.told(day + datetime.timedelta(days=1))
    assert reed.lasts_days is None
    few, _ = shelf(read_stock(stock_path), entries[:2])
    assert few.used_g_a_month is None, "five days tell nothing of a month"


def test_a_file_that_is_no_book_is_refused(stock_path: Path) -> None:
    book_path(stock_path).write_text("no book at all, but text that is long enough " * 40,
                                     encoding="utf-8")
    with pytest.raises(InputProblem, match="a book that cannot be used"):
        read_book(stock_path)


def test_the_command_books_a_table_and_tells_what_is_left(stock_path: Path,
                                                          tmp_path: Path) -> None:
    table = tmp_path / "table.csv"
    table.write_text("date;ink;kind;grams\n2026-11-02;yellow;used;12,5\n", encoding="utf-8")
    run = CliRunner().invoke(stock_command, [str(stock_path), "--book", str(table)])
    assert run.exit_code == 0, run.output
    assert "Booked 1 entry." in run.output
    assert "Yellow: 488 g" in run.output
    again = CliRunner().invoke(stock_command, [str(stock_path), "--book", str(table)])
    assert isinstance(again.exception, InputProblem)
    assert "only entries that the book has already" in again.exception.sentence
    listed = CliRunner().invoke(stock_command, [str(stock_path), "--csv"])
    assert listed.output.splitlines()[1:] == [listed.output.splitlines()[1]]
    assert listed.output.splitlines()[1] == "2026-11-02,Yellow,used,12.5,,"


def test_reckoned_grams_go_in_and_out_as_a_table(stock_path: Path) -> None:
    table = stock_path.with_name("weighed.csv")
    table.write_text("date,ink,kind,grams,note,reckoned\n2026-11-02,Yellow,used,80,run 1,100\n",
                     encoding="utf-8")
    stock = read_stock(stock_path)
    entries = book(stock_path, stock, read_entries(table, stock))
    assert [e.reckoned_g for e in read_book(stock_path)] == [100.0]
    assert entries_csv(entries).splitlines()[1] == "2026-11-02,Yellow,used,80,run 1,100"
    assert shelf(stock, entries)[0].ratios == (0.8,)
    table.write_text("date,ink,kind,grams,reckoned\n2026-11-02,Yellow,counted,80,100\n",
                     encoding="utf-8")
    with pytest.raises(InputProblem, match="reckoned: found '100' of ink counted; a figure "):
        read_entries(table, stock)


def test_a_book_of_an_earlier_version_is_read_and_goes_on(stock_path: Path) -> None:
    with sqlite3.connect(book_path(stock_path)) as old:
        old.execute("CREATE TABLE entry (number INTEGER PRIMARY KEY AUTOINCREMENT, date TEXT NOT "
                    "NULL, ink TEXT NOT NULL, kind TEXT NOT NULL, grams REAL NOT NULL CHECK "
                    "(grams >= 0), note TEXT NOT NULL)")
        old.execute("INSERT INTO entry (date, ink, kind, grams, note) VALUES "
                    "('2026-11-01', 'Yellow', 'used', 50, '')")
    old.close()
    assert [e.reckoned_g for e in read_book(stock_path)] == [None]
    assert left_in(stock_path)["Yellow"] == 450.0
    book(stock_path, read_stock(stock_path), [entry("used", 50)])
    assert left_in(stock_path)["Yellow"] == 400.0
