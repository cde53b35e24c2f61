"""Figures of report.json as the page shows them, each with the place that it was taken from."""

from __future__ import annotations

from html import escape
from typing import Any

from preflight.findings import Figure
from preflight.nouns import around


class ShownFigures:
    """Takes values out of the figures' tree by JSON pointer (RFC 6901) and makes them HTML.

    Every number of the page goes through here, so that the page can show none that report.json
    does not hold: each is a ``data`` element that names its pointer.
    """

    def __init__(self, figures: dict[str, Any]) -> None:
        self._figures = figures

    def at(self, pointer: str) -> Any:
        """The value that a pointer such as ``/films/0/mean_tone`` leads to.

        Raises
        ------
        LookupError
            When there is none.
        """
        value: Any = self._figures
        for step in pointer.split("/")[1:]:
            value = value[int(step)] if isinstance(value, list) else value[step]
        return value

    def count(self, pointer: str) -> int:
        """How many values a list holds."""
        return len(self.at(pointer))

    def text(self, pointer: str) -> str:
        """A string of the tree, harmless in HTML."""
        return escape(str(self.at(pointer)))

    def number(self, pointer: str, digits: int = 0, factor: float = 1.0) -> str:
        """A number, times ``factor``, with so many decimals."""
        value = self.at(pointer)
        return self._data(pointer, value, f"{value * factor:.{digits}f}", factor)

    def brief(self, pointer: str, unit: str = "") -> str:
        """A number as a finding tells it, and the unit that another pointer leads to."""
        value = self.at(pointer)
        number = str(Figure(value=value, unit=""))
        shown = self._data(pointer, value, number)
        if not unit:
            return shown
        before, after = around(number, self.at(unit))
        return f"{escape(before)}{shown}{escape(after)}".rstrip()

    def per_cent(self, pointer: str, digits: int = 1) -> str:
        """A share (0 to 1) in per cent."""
        return f"{self.number(pointer, digits, 100)} %"

    def span(self, pointer: str, unit: str) -> str:
        """A likely figure with its low and high."""
        digits = 1 if self.at(f"{pointer}/likely") < 100 else 0
        low, likely, high = (self.number(f"{pointer}/{key}", digits)
                             for key in ("low", "likely", "high"))
        return f"{likely} {unit}<br><small>{low} to {high}</small>"

    @staticmethod
    def _data(pointer: str, value: float, shown: str, factor: float = 1.0) -> str:
        scaled = f' data-factor="{factor:g}"' if factor != 1.0 else ""
        return (f'<data value="{value}" data-figure="{escape(pointer)}"{scaled}>'
                f"{escape(shown)}</data>")
