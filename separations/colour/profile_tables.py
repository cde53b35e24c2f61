"""TOML tables read key by key, each fault with its key path; keys nobody asked for are faults."""

from __future__ import annotations

import datetime
import difflib
import json
import math
from decimal import Decimal
from itertools import pairwise
from typing import TypeVar

Choice = TypeVar("Choice", bound=str)
Pairs = tuple[tuple[float, float], ...]

_LAB = "a CIELAB colour (D50, 2°) such as [74, 6, 26]"
_CURVE = ("pairs of film and printed tone in percent, both rising from 0 to 100, such as "
          "[[0, 0], [50, 58], [100, 100]],")


class TableFault(ValueError):
    """A key is missing, unknown or holds what it may not."""

    def __init__(self, key: str, found: str, would_do: str) -> None:
        self.key = key
        self.found = found
        self.would_do = would_do
        super().__init__(f"{key}: {found}")


def percent(share: float) -> str:
    """A share as per cent in decimal digits that read back as the same share."""
    return f"{(Decimal(repr(float(share))) * 100).normalize():f}"


def toml_text(text: str) -> str:
    """A text as TOML has it."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


class Tables:
    """One TOML table; what is asked of it is ticked off, and `close` refuses the rest."""

    def __init__(self, table: dict[str, object], path: str = "") -> None:
        self._table = table
        self._path = path
        self._asked: list[str] = []

    def key(self, name: str) -> str:
        """The key's path in the file."""
        return f"{self._path}.{name}" if self._path else name

    def has(self, name: str) -> bool:
        """Whether the key is there."""
        self._asked.append(name)
        return name in self._table

    def close(self) -> None:
        """Raise `TableFault` for a key that was not asked for."""
        for name in self._table:
            if name not in self._asked:
                self._unknown(name)

    def _unknown(self, name: str) -> None:
        near = difflib.get_close_matches(name, self._asked, n=1)
        known = f"'{near[0]}'" if near else "one of " + ", ".join(
            f"'{k}'" for k in dict.fromkeys(self._asked))
        raise TableFault(self.key(name), f"the unknown key '{name}'", known)

    def _value(self, name: str, asked: str) -> object:
        if not self.has(name):
            # a misspelt key tells more than the one that is missing for it
            for other in difflib.get_close_matches(name, self._table, n=1, cutoff=0.8):
                raise TableFault(self.key(other), f"the unknown key '{other}'", f"'{name}'")
            raise TableFault(self.key(name), "nothing", asked)
        return self._table[name]

    def _fault(self, name: str, value: object, asked: str) -> TableFault:
        shown = f"'{value}'" if isinstance(value, str) else str(_plain(value))
        return TableFault(self.key(name), shown if len(shown) <= 60 else shown[:57] + "…", asked)

    def text(self, name: str) -> str:
        """A text of 1 to 120 printable characters."""
        asked = "a text of 1 to 120 printable characters"
        value = self._value(name, asked)
        if not isinstance(value, str) or not _is_text(value, 120):
            raise self._fault(name, value, asked)
        return value

    def texts(self, name: str) -> tuple[str, ...]:
        """A list of texts of at most 400 printable characters; empty if not there."""
        if not self.has(name):
            return ()
        value = self._table[name]
        if not isinstance(value, list) or not all(
                isinstance(v, str) and _is_text(v, 400) for v in value):
            raise self._fault(name, value, "a list of printable texts")
        return tuple(value)

    def choice(self, name: str, known: tuple[Choice, ...], otherwise: Choice) -> Choice:
        """One of the known texts; ``otherwise`` if not there."""
        if not self.has(name):
            return otherwise
        for one in known:
            if self._table[name] == one:
                return one
        raise self._fault(name, self._table[name], " or ".join(f"'{one}'" for one in known))

    def date(self, name: str) -> datetime.date:
        """A date."""
        asked = "a date such as 2026-11-25"
        value = self._value(name, asked)
        if not isinstance(value, datetime.date) or isinstance(value, datetime.datetime):
            raise self._fault(name, value, asked)
        return value

    def number(self, name: str, least: float, most: float) -> float:
        """A number in a range."""
        asked = f"a number from {least:g} to {most:g}"
        value = self._value(name, asked)
        number = _number(value)
        if number is None or not least <= number <= most:
            raise self._fault(name, value, asked)
        return float(number)

    def yes_or_no(self, name: str) -> bool:
        """True or false."""
        value = self._value(name, "true or false")
        if not isinstance(value, bool):
            raise self._fault(name, value, "true or false")
        return value

    def lab(self, name: str) -> tuple[float, float, float] | None:
        """A CIELAB colour, or None if not there."""
        if not self.has(name):
            return None
        value = self._table[name]
        figures = [_number(v) for v in value] if isinstance(value, list) else []
        if len(figures) != 3 or any(
                v is None or not low <= v <= 128 for v, low in
                zip(figures, (0, -128, -128), strict=True)) or (figures[0] or 0) > 100:
            raise self._fault(name, value, _LAB)
        light, a, b = (float(v or 0) for v in figures)
        return light, a, b

    def shares(self, name: str) -> tuple[float, ...]:
        """A list of shares, written in percent."""
        asked = "a list of percentages from 0 to 100"
        value = self._value(name, asked)
        figures = [_number(v) for v in value] if isinstance(value, list) else [None]
        if any(v is None or not 0 <= v <= 100 for v in figures):
            raise self._fault(name, value, asked)
        return tuple(float((v or Decimal(0)) / 100) for v in figures)

    def curve(self, name: str) -> Pairs:
        """Pairs of film and printed tone from (0, 0) to (1, 1), written in percent."""
        value = self._value(name, _CURVE)
        pairs = []
        for pair in value if isinstance(value, list) else ():
            figures = [_number(v) for v in pair] if isinstance(pair, list) else []
            if len(figures) != 2 or figures[0] is None or figures[1] is None:
                raise self._fault(name, pair, _CURVE)
            pairs.append((float(figures[0] / 100), float(figures[1] / 100)))
        steps = list(pairwise(pairs))
        if not steps or pairs[0] != (0.0, 0.0) or pairs[-1] != (1.0, 1.0) or any(
                a[0] >= b[0] or a[1] > b[1] for a, b in steps):
            raise self._fault(name, value, _CURVE)
        return tuple(pairs)

    def table(self, name: str) -> Tables | None:
        """A table within, or None if not there."""
        if not self.has(name):
            return None
        value = self._table[name]
        if not isinstance(value, dict):
            raise self._fault(name, value, f"a table such as {{ {name} = … }}")
        return Tables(value, self.key(name))

    def tables(self, name: str, *, least: int = 1) -> list[Tables]:
        """Tables headed [[name]]."""
        asked = f"tables headed [[{name}]]"
        value = self._value(name, asked) if least else (
            self._table[name] if self.has(name) else [])
        if not isinstance(value, list) or len(value) < least or not all(
                isinstance(v, dict) for v in value):
            raise self._fault(name, value, asked)
        return [Tables(v, f"{self.key(name)}[{place}]") for place, v in enumerate(value, 1)]


def _number(value: object) -> Decimal | None:
    if isinstance(value, bool) or not isinstance(value, int | Decimal):
        return None
    number = Decimal(value)
    return number if math.isfinite(number) else None


def _is_text(value: str, most: int) -> bool:
    return bool(value.strip()) and len(value) <= most and value.isprintable()


def _plain(value: object) -> object:
    """Decimals as people write them, lists and all."""
    if isinstance(value, list):
        return "[" + ", ".join(str(_plain(v)) for v in value) + "]"
    return value
