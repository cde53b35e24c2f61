"""The book of a stock list: deliveries, use and counts of ink, added and never changed.

One SQLite file beside the list. Each booking is one transaction that holds the file's lock from its
first look to its last entry, so that two at once lose nothing and a killed one leaves nothing.
"""

from __future__ import annotations

import contextlib
import datetime
import sqlite3
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, get_args

from preflight.input_problem import InputProblem
from separations.stock.ink_stock import InkStock

#: ``delivered`` adds, ``used`` takes away, ``counted`` says what is there.
Kind = Literal["delivered", "used", "counted"]
KINDS: tuple[Kind, ...] = get_args(Kind)
#: How long a booking waits for another one (s).
_PATIENCE_S = 30.0
_TABLE = """
CREATE TABLE IF NOT EXISTS entry (
    number INTEGER PRIMARY KEY AUTOINCREMENT, date TEXT NOT NULL, ink TEXT NOT NULL,
    kind TEXT NOT NULL, grams REAL NOT NULL CHECK (grams >= 0), note TEXT NOT NULL,
    reckoned REAL);
CREATE TRIGGER IF NOT EXISTS never_changed BEFORE UPDATE ON entry
    BEGIN SELECT RAISE(ABORT, 'entries are added, never changed'); END;
CREATE TRIGGER IF NOT EXISTS never_deleted BEFORE DELETE ON entry
    BEGIN SELECT RAISE(ABORT, 'entries are added, never deleted'); END;
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One line of the book.

    Attributes
    ----------
    date : datetime.date
        When it was.
    ink : str
        Name of the ink in the stock list.
    kind : Kind
        What happened.
    grams : float
        How much (g), at least 0.
    note : str
        Anything.
    reckoned_g : float or None
        Of ``used``: what the run's sheet said was likely (g), where that was noted.
    """

    date: datetime.date
    ink: str
    kind: Kind
    grams: float
    note: str = ""
    reckoned_g: float | None = None


def book_path(stock_path: Path) -> Path:
    """The book of a stock list."""
    return stock_path.with_name(f"{stock_path.stem}-book.sqlite")


def read_book(stock_path: Path) -> tuple[Entry, ...]:
    """All entries, in the order in which they were booked; none where there is no book yet.

    Raises
    ------
    InputProblem
        When the file is no such book.
    """
    path = book_path(stock_path)
    if not path.exists():
        return ()
    with _opened(path) as book:
        return _entries(book)


def book(stock_path: Path, stock: InkStock, entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """Book entries, all or none of them; gives the whole book.

    Parameters
    ----------
    stock_path, stock : Path, InkStock
        The stock list.
    entries : sequence of Entry
        What is to be added.

    Raises
    ------
    InputProblem
        When an entry would leave less than nothing of an ink, or the book cannot be written.
    """
    path = book_path(stock_path)
    with _opened(path) as opened:
        opened.execute("BEGIN IMMEDIATE")
        before = _entries(opened)
        left = grams_left(stock, before)
        for number, entry in enumerate(entries, 1):
            left[entry.ink] = _after(left[entry.ink], entry)
            if left[entry.ink] < 0:
                raise InputProblem(
                    where=str(path),
                    found=f"entry {number}, {entry.grams:g} g of {entry.ink} used where "
                          f"{left[entry.ink] + entry.grams:g} g are left",
                    would_do="a delivery that was not booked yet, or a line 'counted' with what "
                             "the scales say, before it")
        opened.executemany(
            "INSERT INTO entry (date, ink, kind, grams, note, reckoned) "
            "VALUES (?, ?, ?, ?, ?, ?)",
            [(e.date.isoformat(), e.ink, e.kind, e.grams, e.note, e.reckoned_g)
             for e in entries])
        opened.execute("COMMIT")
        return (*before, *entries)


def grams_left(stock: InkStock, entries: Sequence[Entry]) -> dict[str, float]:
    """What is left of each ink of the list (g): what the list says at first, then the book."""
    left = {ink.name: ink.grams or 0.0 for ink in stock.ink}
    for entry in entries:
        if entry.ink in left:
            left[entry.ink] = _after(left[entry.ink], entry)
    return left


def _after(left_g: float, entry: Entry) -> float:
    if entry.kind == "counted":
        return entry.grams
    return left_g + (entry.grams if entry.kind == "delivered" else -entry.grams)


@contextlib.contextmanager
def _opened(path: Path) -> Iterator[sqlite3.Connection]:
    """The book, open; what was not committed at the end is undone."""
    try:
        opened = sqlite3.connect(path, timeout=_PATIENCE_S, isolation_level=None)
        with contextlib.closing(opened):
            opened.executescript(_TABLE)
            if all(name != "reckoned" for _, name, *_ in
                   opened.execute("PRAGMA table_info(entry)")):  # a book of an earlier version
                opened.execute("ALTER TABLE entry ADD COLUMN reckoned REAL")
            opened.execute("PRAGMA synchronous = FULL")
            yield opened
    except sqlite3.Error as fault:
        raise InputProblem(where=str(path), found=f"a book that cannot be used ({fault})",
                           would_do="the book that topsheet stock made, or none") from None


def _entries(opened: sqlite3.Connection) -> tuple[Entry, ...]:
    rows = opened.execute(
        "SELECT date, ink, kind, grams, note, reckoned FROM entry ORDER BY number")
    return tuple(Entry(date=datetime.date.fromisoformat(date), ink=ink, kind=kind, grams=grams,
                       note=note, reckoned_g=reckoned)
                 for date, ink, kind, grams, note, reckoned in rows)
