"""A number with its noun or its unit, in the singular where there is one of it."""

from __future__ import annotations

#: Units that are nouns, as figures show them, and the same of one alone.
SINGULAR = {
    "threads per line": "thread per line", "steps": "step", "mesh pitches": "mesh pitch",
    "thread diameters": "thread diameter", "readings": "reading", "threads per cm": "thread per cm",
    "halftone periods": "halftone period", "lengths of the board": "length of the board",
    "times": "time", "marks (own scale)": "mark (own scale)", "blank films": "blank film",
    "invented figures": "invented figure", "figures given": "figure given",
    "usable profiles": "usable profile", "mirror images": "mirror image",
    "notes touched": "note touched", "landmarks left out": "landmark left out",
    "inks that wait": "ink that waits",
    "inks without a heat limit": "ink without a heat limit"}


def counted(number: int, noun: str, plural: str = "") -> str:
    """So many of a thing: ``1 film``, ``4 films``, ``0 entries`` with its own ``plural``."""
    return f"{number:,} {noun if number == 1 else plural or noun + 's'}"


def unit_of(shown: str, unit: str) -> str:
    """The unit after a number as it is shown: ``1 mark``, ``1.2 marks``."""
    return SINGULAR.get(unit, unit) if shown == "1" else unit


def around(shown: str, unit: str) -> tuple[str, str]:
    """What a unit puts before and after a number as it is shown: ``ΔE00 2``, ``7.5°``, ``3 mm``."""
    if unit == "ΔE00":
        return f"{unit} ", ""
    apart = "" if unit == "°" or unit.startswith("° ") else " "
    return "", f"{apart}{unit_of(shown, unit)}"


def with_unit(shown: str, unit: str) -> str:
    """A number as it is shown with its unit."""
    before, after = around(shown, unit)
    return f"{before}{shown}{after}"
