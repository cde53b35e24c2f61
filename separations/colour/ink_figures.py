"""The table of ink colours that comes with the tool, read from ink_figures.toml."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from preflight.basis import Basis, Source

Lab = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class SolidFigure:
    """One colour of the table.

    Attributes
    ----------
    lab : tuple of three float
        CIELAB D50 of the solid (or of a bare substrate).
    white_lab : tuple of three float
        CIELAB D50 of what it was printed on (of itself for a substrate).
    opacity : float
        Contrast ratio, 0 (hides nothing) to 1 (hides all).
    source : Source
        What the figures rest on.
    """

    lab: Lab
    white_lab: Lab
    opacity: float
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class InkFigures:
    """All colours of the table, by name.

    Attributes
    ----------
    substrates, process_solids, spot_solids : dict of str to SolidFigure
        Bare substrates, the four process inks, and spot inks.
    process_overprints : dict of frozenset of str to SolidFigure
        Measured overprints of process inks, by the inks in them.
    """

    substrates: dict[str, SolidFigure]
    process_solids: dict[str, SolidFigure]
    spot_solids: dict[str, SolidFigure]
    process_overprints: dict[frozenset[str], SolidFigure]


@cache
def ink_figures() -> InkFigures:
    """The colours of ink_figures.toml."""
    text = files("separations.colour").joinpath("ink_figures.toml").read_text(encoding="utf-8")
    table = tomllib.loads(text)
    process, spot = table["process"], table["spot"]
    return InkFigures(
        substrates={name: _figure(row["lab"], row["lab"], 1.0, row)
                    for name, row in table["substrate"].items()},
        process_solids={name: _figure(lab, process["white_lab"], 0.0, process)
                        for name, lab in process["solid"].items()},
        spot_solids={name: _figure(row["lab"], spot["white_lab"], row["opacity"], spot)
                     for name, row in spot["ink"].items()},
        process_overprints={
            frozenset(names.split()): _figure(lab, process["white_lab"], 0.0, process)
            for names, lab in process["overprint"].items()},
    )


def _figure(lab: list[float], white: list[float], opacity: float,
            told: dict[str, Any]) -> SolidFigure:
    source = Source(basis=Basis(told["basis"]), told=told["source"])
    return SolidFigure(lab=(lab[0], lab[1], lab[2]), white_lab=(white[0], white[1], white[2]),
                       opacity=opacity, source=source)
