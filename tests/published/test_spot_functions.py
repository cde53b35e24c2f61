"""Dot shapes against the predefined spot functions of PDF.

Source: ISO 32000-2:2020, Table 128 "Predefined spot functions" (Table 6.1 of the PDF Reference,
1.3 to 1.7), as PostScript calculator functions over x and y from −1 to 1; the programs below are
that table's, run by a few lines of a stack machine.
"""

from __future__ import annotations

from collections.abc import Callable
from math import cos, radians

import numpy as np
import pytest

from preflight.press.dot_shapes import spot_of

#: Names of ours, and the table's programs; nested lists are procedures.
PROGRAMS: dict[str, list[object]] = {
    # CosineDot
    "round": [180, "mul", "cos", "exch", 180, "mul", "cos", "add", 2, "div"],
    # Round
    "euclidean": [
        "abs", "exch", "abs", "dup2", "add", 1, "le",
        ["dup", "mul", "exch", "dup", "mul", "add", 1, "exch", "sub"],
        [1, "sub", "dup", "mul", "exch", 1, "sub", "dup", "mul", "add", 1, "sub"], "ifelse"],
    # Diamond
    "diamond": [
        "abs", "exch", "abs", "dup2", "add", 0.75, "le",
        ["dup", "mul", "exch", "dup", "mul", "add", 1, "exch", "sub"],
        ["dup2", "add", 1.23, "le",
         [0.85, "mul", "add", 1, "exch", "sub"],
         [1, "sub", "dup", "mul", "exch", 1, "sub", "dup", "mul", "add", 1, "sub"], "ifelse"],
        "ifelse"],
}
_OF_TWO: dict[str, Callable[[float, float], float]] = {
    "add": lambda a, b: a + b, "sub": lambda a, b: a - b, "mul": lambda a, b: a * b,
    "div": lambda a, b: a / b, "le": lambda a, b: float(a <= b)}


def _run(program: list[object], stack: list[float]) -> None:
    words = iter(enumerate(program))
    for place, word in words:
        if isinstance(word, int | float):
            stack.append(float(word))
        elif isinstance(word, list):
            if program[place + 1] == "ifelse":
                before = program[place - 1]
                assert isinstance(before, list)
                _run(before if stack.pop() else word, stack)
                next(words)
        elif word == "abs":
            stack.append(abs(stack.pop()))
        elif word == "cos":
            stack.append(cos(radians(stack.pop())))
        elif word == "dup":
            stack.append(stack[-1])
        elif word == "dup2":  # "2 copy"
            stack += stack[-2:]
        elif word == "exch":
            stack[-2:] = stack[-1], stack[-2]
        else:
            last = stack.pop()
            stack.append(_OF_TWO[str(word)](stack.pop(), last))


@pytest.mark.parametrize("shape", PROGRAMS)
def test_a_spot_is_the_tables(shape: str) -> None:
    for u, v in np.random.default_rng(4).uniform(-0.5, 0.5, (400, 2)):
        stack = [2 * float(u), 2 * float(v)]
        _run(PROGRAMS[shape], stack)
        assert float(spot_of(shape)(np.array(u), np.array(v))) == pytest.approx(stack[0], abs=1e-12)
        assert len(stack) == 1


def test_euclidean_dots_turn_to_holes_at_half() -> None:
    """Up to half, what is inked lies nearest the middle; from there, what is left, the corners."""
    places = (np.arange(400) + 0.5) / 400 - 0.5
    u, v = np.meshgrid(places, places)
    heights = spot_of("euclidean")(u, v)
    from_dot, from_hole = np.hypot(u, v), np.hypot(0.5 - np.abs(u), 0.5 - np.abs(v))
    for tone, distance in ((0.05, from_dot), (0.35, from_dot), (0.65, from_hole), (0.9, from_hole)):
        inked = heights > np.quantile(heights, 1 - tone)
        part = inked if tone < 0.5 else ~inked
        assert distance[part].max() <= distance[~part].min() + 1 / 400
        assert part.mean() == pytest.approx(min(tone, 1 - tone), abs=2e-3)
