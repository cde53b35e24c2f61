"""What is on the shelf, how long it lasts, and what a job needs beyond it."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import NamedTuple

from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from preflight.nouns import counted
from separations.ink_need.ink_estimate import InkEstimate, Range
from separations.ink_need.ink_orders import InkOrder
from separations.ink_need.weighed_runs import next_run
from separations.stock.ink_book import Entry, book_path, grams_left, read_book
from separations.stock.ink_stock import InkStock, StockInk, read_stock

#: Days over which use is told.
_MONTH = 30.0
#: Use over fewer days tells nothing of a month. Own rule, no source.
_LEAST_DAYS = 14


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfInk:
    """One ink on the shelf.

    Attributes
    ----------
    ink : StockInk
        As the list has it.
    left_g : float
        What is left (g).
    is_told : bool
        Whether list or book tell how much there is; else ``left_g`` is 0.
    used_g_a_month : float or None
        Mean use over 30 days, from the first entry of use to the book's last day; None with less
        than two days of use.
    ratios : tuple of float
        Of each run that was reckoned and weighed, what it took over what was reckoned.
    """

    ink: StockInk
    left_g: float
    is_told: bool
    used_g_a_month: float | None
    ratios: tuple[float, ...] = ()

    @property
    def lasts_days(self) -> float | None:
        """How long what is left lasts at that use; None where none is known."""
        if not self.used_g_a_month:
            return None
        return self.left_g / self.used_g_a_month * _MONTH

    def told(self, today: datetime.date) -> str:
        """The ink in a line, as it stands on a day."""
        left = f"{self.left_g:.0f} g left" if self.is_told else "amount not given"
        words = [f"{self.ink.name}: {left}"]
        if self.ink.opened is not None:
            words.append(f"opened {self.ink.opened.isoformat()}")
        if self.ink.use_by is not None:
            past = ": PAST ITS DATE, test it or open a fresh tin"
            words.append(f"use by {self.ink.use_by.isoformat()}"
                         f"{past if self.ink.is_past(today) else ''}")
        if self.used_g_a_month is not None and self.lasts_days is not None:
            words.append(f"{self.used_g_a_month:.0f} g used in 30 days, at which rate it lasts "
                         f"{counted(round(self.lasts_days), 'day')}")
        return "; ".join(words)


def shelf(stock: InkStock, entries: Sequence[Entry]) -> tuple[ShelfInk, ...]:
    """What is left of each ink, in the order of the list."""
    left = grams_left(stock, entries)
    last = max((entry.date for entry in entries), default=None)
    booked = {entry.ink for entry in entries}
    return tuple(ShelfInk(ink=ink, left_g=left[ink.name],
                          is_told=ink.grams is not None or ink.name in booked,
                          used_g_a_month=_use(ink.name, entries, last), ratios=tuple(
                              e.grams / e.reckoned_g for e in entries
                              if e.ink == ink.name and e.reckoned_g and e.grams > 0))
                 for ink in stock.ink)


def stock_left(path: Path) -> InkStock:
    """A stock list with what its book leaves in place of what it had at first.

    Raises
    ------
    InputProblem
        When the list or its book cannot be read.
    """
    stock = read_stock(path)
    return replace(stock, ink=tuple(
        replace(one.ink, grams=one.left_g if one.is_told else None)
        for one in shelf(stock, read_book(path))))


def _use(name: str, entries: Sequence[Entry], last: datetime.date | None) -> float | None:
    used = [entry for entry in entries if entry.ink == name and entry.kind == "used"]
    if not used or last is None:
        return None
    days = (last - min(entry.date for entry in used)).days
    return sum(entry.grams for entry in used) / days * _MONTH if days >= _LEAST_DAYS else None


def job_orders(job: Job, estimates: Sequence[InkEstimate]) -> tuple[InkOrder, ...]:
    """A job's inks held against its stock list; none where it names no list.

    Raises
    ------
    InputProblem
        When the list or its book cannot be read.
    """
    return shared_orders([(job, estimates)])


def shared_orders(
        printed: Sequence[tuple[Job, Sequence[InkEstimate]]]) -> tuple[InkOrder, ...]:
    """The same of jobs that are printed one after another: a tin that several need is told once.

    Parameters
    ----------
    printed : sequence of (Job, sequence of InkEstimate)
        Each job, and what its inks take, in print order.

    Raises
    ------
    InputProblem
        When a list or its book cannot be read.
    """
    needs: dict[tuple[Path, str], _Need] = {}
    for job, estimates in printed:
        there = job_shelf(job)
        if job.stock is None or there is None:
            continue
        for ink, estimate in zip(job.ink, estimates, strict=True):
            found, take = _on_shelf(ink, there), estimate.run_g
            if take.high == 0:
                continue
            name = (estimate.ink if found is None else found.ink.name).casefold()
            key = (job.beside(job.stock), name)
            before = needs.get(key)
            needs[key] = _Need(estimate.ink, found, take, job.date) if before is None else \
                before.and_also(take, job.date)
    return tuple(_order(need) for need in needs.values())


def stock_files(job: Job) -> tuple[Path, ...]:
    """The stock list that a job names, and its book where it has one."""
    if job.stock is None:
        return ()
    path = job.beside(job.stock)
    return (path, *(one for one in (book_path(path),) if one.is_file()))


def job_shelf(job: Job) -> dict[str, ShelfInk] | None:
    """The inks of the stock list that a job names; None where it names none.

    Raises
    ------
    InputProblem
        When the list or its book cannot be read.
    """
    if job.stock is None:
        return None
    path = job.beside(job.stock)
    return {one.ink.name: one for one in shelf(read_stock(path), read_book(path))}


def _on_shelf(ink: InkTable, there: dict[str, ShelfInk]) -> ShelfInk | None:
    """The ink of that name; else the only one of the same named colour."""
    named = [one for name, one in there.items() if name.casefold() == ink.name.casefold()]
    alike = [one for one in there.values() if ink.colour and one.ink.colour == ink.colour]
    return named[0] if named else alike[0] if len(alike) == 1 else None


class _Need(NamedTuple):
    """What is needed of an ink, by the name that the first job has for it, up to a day."""

    ink: str
    found: ShelfInk | None
    grams: Range
    until: datetime.date

    def and_also(self, grams: Range, until: datetime.date) -> _Need:
        """What a further job takes of it added."""
        return self._replace(until=max(self.until, until), grams=Range(
            low=self.grams.low + grams.low, likely=self.grams.likely + grams.likely,
            high=self.grams.high + grams.high))


def _order(needed: _Need) -> InkOrder:
    need, found = needed.grams, needed.found
    if found is None:
        return InkOrder(ink=needed.ink, stock_ink=None, on_shelf_g=None, reckoned_g=need,
                        expected_g=need)
    return InkOrder(
        ink=needed.ink, stock_ink=found.ink.name,
        on_shelf_g=found.left_g if found.is_told else None, reckoned_g=need,
        expected_g=next_run(need, found.ratios) if found.ratios else need,
        weighed_runs=len(found.ratios),
        past_use_by=found.ink.use_by if found.ink.is_past(needed.until) else None)
