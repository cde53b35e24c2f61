"""The inks a workshop owns, from a stock list (TOML); each fault is one sentence with its key."""

from __future__ import annotations

import difflib
import tomllib
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any

from pydantic import ConfigDict, TypeAdapter, ValidationError

from preflight import job_values as v
from preflight.input_problem import InputProblem
from separations.ink_figures import ink_figures
from separations.inks import InkColour, process_ink, spot_ink

MOST_STOCK_INKS = 60
_GREATEST_BYTES = 1_000_000
_FORBID: ConfigDict = {"extra": "forbid"}
_PROCESS = "process "
_UNKNOWN_KEY = "unexpected_keyword_argument"


@dataclass(frozen=True, slots=True, kw_only=True)
class StockInk:
    """``[[ink]]``: one ink on the shelf, its colour told as in a job file.

    Attributes
    ----------
    density : float
        In g/ml.
    heat_limit : Temperature or None
        What it stands, where known.
    """

    name: v.Text
    colour: v.Text | None = None
    over_white: v.Lab | None = None
    over_black: v.Lab | None = None
    opacity: v.Fraction | None = None
    density: v.Density = 1.2
    heat_limit: v.HeatValue | None = None

    def solid(self) -> InkColour:
        """Its colour. A named colour keeps its name, by which measured overprints are found."""
        if self.over_white is not None:
            return InkColour(name=self.name, lab=self.over_white, lab_over_black=self.over_black,
                             opacity=self.opacity or 0.0, source="the stock list")
        name = self.colour or ""
        if name.startswith(_PROCESS):
            return process_ink(name.removeprefix(_PROCESS))
        return spot_ink(name)


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
    _forbid_unknown_keys(InkStock)
    _forbid_unknown_keys(StockInk)
    try:
        stock = TypeAdapter(InkStock).validate_python(_table_in(path))
    except ValidationError as error:
        raise _problem_of(error, path) from None
    _check(stock, path)
    return stock


def _forbid_unknown_keys(kind: type) -> None:
    kind.__pydantic_config__ = _FORBID  # type: ignore[attr-defined]


def _check(stock: InkStock, path: Path) -> None:
    if not 1 <= len(stock.ink) <= MOST_STOCK_INKS:
        raise InputProblem(where=f"{path}: ink", found=f"{len(stock.ink)} inks",
                           would_do=f"1 to {MOST_STOCK_INKS} inks")
    figures = ink_figures()
    known = [*(_PROCESS + name for name in figures.process_solids), *figures.spot_solids]
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
                found=f"its colour given in {'several ways' if named or hiding > 1 else 'no way'}",
                would_do="'colour' alone, or 'over_white' with at most one of 'over_black' and "
                         "'opacity',")
        if ink.colour is not None and ink.colour not in known:
            near = difflib.get_close_matches(ink.colour, known, n=1)
            raise InputProblem(
                where=f"{where}.colour", found=f"'{ink.colour}'",
                would_do=f"'{near[0]}'" if near else
                "one of " + ", ".join(f"'{name}'" for name in known) + ", or 'over_white' in its "
                "place,")


def _table_in(path: Path) -> dict[str, Any]:
    asked = "a stock list in TOML, under 1 MB and in UTF-8,"
    try:
        if not path.is_file():
            raise InputProblem(where=str(path), would_do=asked,
                               found="a folder" if path.is_dir() else "no such file")
        with path.open("rb") as stream:
            raw = stream.read(_GREATEST_BYTES + 1)
        if len(raw) > _GREATEST_BYTES:
            raise InputProblem(where=str(path), found="more than 1 MB", would_do=asked)
        return tomllib.loads(raw.decode("utf-8-sig"))
    except OSError as error:
        raise InputProblem(where=str(path), found=error.strerror or "an unreadable file",
                           would_do=asked) from None
    except UnicodeDecodeError:
        raise InputProblem(where=str(path), found="bytes that are no UTF-8 text",
                           would_do=asked) from None
    except tomllib.TOMLDecodeError as error:
        raise InputProblem(where=str(path), found=f"a line that is no TOML ({error})",
                           would_do="TOML such as name = \"Top shelf\"") from None
    except RecursionError:
        raise InputProblem(where=str(path), found="tables nested too deeply",
                           would_do=asked) from None


def _problem_of(error: ValidationError, path: Path) -> InputProblem:
    """Make the first fault a sentence: a misspelt key before the missing one it stands for."""
    faults = sorted(error.errors(include_url=False), key=lambda f: f["type"] != _UNKNOWN_KEY)
    fault = faults[0]
    location = [part for part in fault["loc"] if not str(part).startswith("function-")]
    keys = ".".join(f"[{part + 1}]" if isinstance(part, int) else part for part in location)
    where, last = f"{path}: {keys.replace('.[', '[')}", str(location[-1])
    shown = _shown(fault["input"])
    match fault["type"]:
        case "unexpected_keyword_argument":
            known = [f.name for f in fields(StockInk if len(location) > 1 else InkStock)]
            near = difflib.get_close_matches(last, known, n=1)
            return InputProblem(where=where, found=f"the unknown key '{last}'", would_do=(
                f"'{near[0]}'" if near else "one of " + ", ".join(f"'{k}'" for k in known)))
        case "missing":
            return InputProblem(where=where, found="nothing", would_do=f"a value for '{last}'")
        case "value_error":
            return InputProblem(where=where, found=shown, would_do=str(fault["ctx"]["error"]))
        case "tuple_type" | "dataclass_type":
            return InputProblem(where=where, found=shown, would_do="tables headed [[ink]]")
        case _:
            return InputProblem(where=where, found=shown, would_do="a value of another kind")


def _shown(value: object) -> str:
    text = f"'{value}'" if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "…"
