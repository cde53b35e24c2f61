"""What is on the shelf, how long it lasts, and what a job needs beyond it."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from separations.ink_need.ink_estimate import InkEstimate, Range
from separations.ink_need.weighed_runs import next_run
from separations.uses.ink_choice.ink_stock import InkStock, StockInk, read_stock
from separations.uses.stock.ink_book import Entry, grams_left, read_book

#: Days over which use is told.
_MONTH = 30.0


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

    @property
    def told(self) -> str:
        """The ink in a sentence."""
        left = f"{self.left_g:.0f} g" if self.is_told else "amount not told"
        words = [f"{self.ink.name}: {left}"]
        if self.ink.opened is not None:
            words.append(f"opened {self.ink.opened.isoformat()}")
        if self.ink.use_by is not None:
            words.append(f"use by {self.ink.use_by.isoformat()}")
        if self.used_g_a_month is not None and self.lasts_days is not None:
            words.append(f"{self.used_g_a_month:.0f} g in 30 days, lasts {self.lasts_days:.0f} "
                         "days at that")
        return ", ".join(words)


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


def _use(name: str, entries: Sequence[Entry], last: datetime.date | None) -> float | None:
    used = [entry for entry in entries if entry.ink == name and entry.kind == "used"]
    if not used or last is None:
        return None
    days = (last - min(entry.date for entry in used)).days
    return sum(entry.grams for entry in used) / days * _MONTH if days > 0 else None


def stock_words(job: Job, estimates: Sequence[InkEstimate]) -> tuple[str, ...]:
    """What a job must order, and what of its inks is past its date; nothing without a stock list.

    Raises
    ------
    InputProblem
        When the list or its book cannot be read.
    """
    return shared_stock_words([(job, estimates)])


def shared_stock_words(
        printed: Sequence[tuple[Job, Sequence[InkEstimate]]]) -> tuple[str, ...]:
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
    return tuple(word for need in needs.values() for word in _words(need))


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


def _words(needed: _Need) -> Iterator[str]:
    need, found = needed.grams, needed.found
    if found is None:
        yield (f"{needed.ink}: not on the shelf; order {need.high:.0f} g (likely "
               f"{need.likely:.0f} g)")
        return
    same = found.ink.name.casefold() == needed.ink.casefold()
    name = needed.ink if same else f"{needed.ink} ({found.ink.name})"
    if found.ratios:
        told = f"{need.likely:.0f} g ({need.low:.0f} to {need.high:.0f} g) that were reckoned"
        need = next_run(need, found.ratios)
        runs = "one weighed run" if len(found.ratios) == 1 else f"{len(found.ratios)} weighed runs"
        yield (f"{name}: by {runs} expect {need.likely:.0f} g ({need.low:.0f} to "
               f"{need.high:.0f} g) in place of {told}")
    takes = f"the run takes {need.low:.0f} to {need.high:.0f} g"
    if not found.is_told:
        yield f"{name}: how much is on the shelf is not told; {takes}"
    elif found.left_g < need.high:
        yield (f"{name}: order {need.high - found.left_g:.0f} g; {found.left_g:.0f} g are on the "
               f"shelf, {takes}")
    if found.ink.use_by is not None and found.ink.use_by < needed.until:
        yield (f"{name}: past its date, {found.ink.use_by.isoformat()}; test it or take a fresh "
               "tin")
