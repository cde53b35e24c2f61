"""Pure functions of plain values, called through whatever may keep what they gave before."""

from __future__ import annotations

from collections.abc import Callable
from typing import ParamSpec, Protocol, TypeVar

Result = TypeVar("Result")
Given = ParamSpec("Given")


class ByValue(Protocol):
    """Calls a pure function of plain values (numbers, texts, frozen tables of them)."""

    def __call__(self, function: Callable[Given, Result], *values: Given.args,
                 **named: Given.kwargs) -> Result:
        """What the function gives, made now or before."""


def called(function: Callable[Given, Result], *values: Given.args,
           **named: Given.kwargs) -> Result:
    """Call the function now: nothing is kept."""
    return function(*values, **named)
