"""The inks a workshop owns, from a stock list (TOML); each fault is one sentence with its key."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace
from pathlib import Path

from preflight.basis import given
from preflight.input_problem import InputProblem
from preflight.job_file import job_values as v
from preflight.job_file.typed_toml import read_typed_toml
from separations.colour.ink_colours import InkColour, named_ink

MOST_STOCK_INKS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class StockInk:
    """``[[ink]]``: one ink on the shelf, its colour told as in a job file.

    Attributes
    ----------
    density : float
        In g/ml.
    heat_limit : Temperature or None
        What it stands, where known.
    grams : float or None
        How much of it is there, or was before the first entry of the stock's book (g).
    opened, use_by : date or None
        Of its tin.
    """

    name: v.Text
    colour: v.Text | None = None
    over_white: v.Lab | None = None
    over_black: v.Lab | None = None
    opacity: v.Fraction | None = None
    density: v.Density = 1.2
    heat_limit: v.HeatValue | None = None
    grams: v.Grams | None = None
    opened: datetime.date | None = None
    use_by: datetime.date | None = None

    def is_past(self, day: datetime.date) -> bool:
        """Whether it should have been used by an earlier day."""
        return self.use_by is not None and self.use_by < day

    def solid(self) -> InkColour:
        """Its colour. A named colour keeps its name, by which measured overprints are found."""
        if self.over_white is not None:
            return InkColour(name=self.name, lab=self.over_white, lab_over_black=self.over_black,
                             opacity=self.opacity or 0.0, source=given("the stock list"))
        return named_ink(self.colour or "", "the stock list")


@dataclass(frozen=True, slots=True, kw_only=True)
class InkStock:
    """A stock list, read once.

    Attributes
    ----------
    name : str
        What the shop calls it.
    ink : tuple of StockInk
        1 to 60 inks with different names.
    """

    name: v.Text
    ink: tuple[StockInk, ...]

    def solids(self) -> tuple[InkColour, ...]:
        """The inks' colours, under names that all differ.

        The first ink of a named colour bears that name, any further one its own with its place.
        """
        colours: list[InkColour] = []
        for number, ink in enumerate(self.ink, 1):
            colour = ink.solid()
            taken = any(colour.name == other.name for other in colours)
            colours.append(replace(colour, name=f"{ink.name} ({number})") if taken else colour)
        return tuple(colours)


def read_stock(path: Path) -> InkStock:
    """Read and check a stock list.

    Parameters
    ----------
    path : Path
        A TOML file: ``name`` and tables headed ``[[ink]]``.

    Raises
    ------
    InputProblem
        When the file cannot be read, is not TOML, or any key is missing, misspelt, of the wrong
        kind, out of range, or at odds with another.
    """
    stock = read_typed_toml(path, InkStock, what="a stock list", first_line='name = "Top shelf"')
    _check(stock, path)
    return stock


def _check(stock: InkStock, path: Path) -> None:
    if not 1 <= len(stock.ink) <= MOST_STOCK_INKS:
        raise InputProblem(where=f"{path}: ink", found=f"{len(stock.ink)} inks",
                           would_do=f"1 to {MOST_STOCK_INKS} inks")
    seen: set[str] = set()
    for number, ink in enumerate(stock.ink, 1):
        where = f"{path}: ink[{number}]"
        if ink.name.casefold() in seen:
            raise InputProblem(where=f"{where}.name", found=f"'{ink.name}' named twice",
                               would_do="another name for each ink")
        seen.add(ink.name.casefold())
        named, measured = ink.colour is not None, ink.over_white is not None
        hiding = (ink.over_black is not None) + (ink.opacity is not None)
        if named == measured or hiding > measured:
            raise InputProblem(
                where=where,
                found="its colour given in several ways" if named or hiding > 1 else "no colour",
                would_do="'colour' alone, or 'over_white' with at most one of 'over_black' and "
                         "'opacity',")
        if ink.colour is not None:
            named_ink(ink.colour, f"{where}.colour")
