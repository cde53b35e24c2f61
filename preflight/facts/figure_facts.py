"""What the figures of a job rest on, where the checks themselves hold nothing against them."""

from __future__ import annotations

from dataclasses import dataclass

from preflight.basis import Source

#: Names by which checks know the figures that a job may leave out.
COLOUR_OF_WOOD, COLOUR_OF_INK = "colour of the wood", "colour of the ink"
DRAWN_BY_WOOD = "extra ink that soaks into the wood"


@dataclass(frozen=True, slots=True, kw_only=True)
class RestingFigure:
    """One figure that proof, films or ink rest on.

    Attributes
    ----------
    name : str
        What it is, such as ``colour of the wood``.
    subjects : tuple of str
        The inks that it belongs to; none where it is the job's.
    value : str
        As shown, with its unit.
    source : Source
        What it rests on.
    """

    name: str
    subjects: tuple[str, ...] = ()
    value: str
    source: Source
