"""What was seen of one ink on the press's test print: its register, and the dots that it held."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenRegister:
    """How an ink lay to the first on the test sheet.

    Attributes
    ----------
    to : str
        The first ink's name.
    along_mm, across_mm : float
        How far it lay towards the nose and to the left of the first, in the sheet's middle.
    within_mm : float
        What either lies within nine times in ten.
    turn_deg, turn_within_deg : float
        How far it was turned against the first, anticlockwise, and likewise.
    """

    to: str
    along_mm: float
    across_mm: float
    within_mm: float
    turn_deg: float
    turn_within_deg: float

    @property
    def turn_shows(self) -> bool:
        """Whether it is turned by more than the readings leave open."""
        return abs(self.turn_deg) > self.turn_within_deg


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenPrint:
    """What was seen of one ink; None where it was not.

    Attributes
    ----------
    register : SeenRegister or None
        How it lay to the first ink; None for the first itself.
    smallest_tone, lost_tone : float or None
        The smallest film tone (0 to 1) whose dots were printed, and the greatest whose dots were
        not.
    largest_tone, closed_tone : float or None
        The largest film tone whose holes were open, and the least whose holes were not.
    exposure_step : int or None
        The last step of the sheet's exposure scale that the stencil held.
    """

    register: SeenRegister | None = None
    smallest_tone: float | None = None
    lost_tone: float | None = None
    largest_tone: float | None = None
    closed_tone: float | None = None
    exposure_step: int | None = None


UNSEEN = SeenPrint()


def apart_mm(one: SeenRegister | None, other: SeenRegister | None) -> tuple[float, float]:
    """How far two inks lay apart (mm), and what that lies within; None stands for the first."""
    along = (one.along_mm if one else 0.0) - (other.along_mm if other else 0.0)
    across = (one.across_mm if one else 0.0) - (other.across_mm if other else 0.0)
    return (math.hypot(along, across),
            math.hypot(*(seen.within_mm for seen in (one, other) if seen)))
