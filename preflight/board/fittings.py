"""What is fixed to a board or must be seen on it, laid down in the films' board frame."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from preflight.board.area_mask import Area
from preflight.board.developed_outline import BoardFrames
from preflight.board.screen_reach import ScreenReach


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FittedInserts:
    """One foot's inserts on the films.

    Attributes
    ----------
    foot : str
        ``front`` or ``rear``.
    holes_mm : NDArray of float64, shape (N, 2)
        Centres of the holes.
    hole_mm, clear_mm : float
        Diameter of a hole; and of the disc that it takes with its clearance.
    ink_off : bool
        Whether that disc takes no ink.
    binding : Polygon
        What the binding's disc hides.
    clear : Area
        All the discs.
    """

    foot: str
    holes_mm: NDArray[np.float64]
    hole_mm: float
    clear_mm: float
    ink_off: bool
    binding: Polygon
    clear: Area


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NamedArea:
    """A keep-out or an important region.

    Attributes
    ----------
    name : str
        As the job has it.
    area : Polygon
        In the films' board frame (mm).
    ink_off : bool
        Whether it takes no ink; an important region takes it.
    """

    name: str
    area: Polygon
    ink_off: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fittings:
    """All of them, and how the pressed board's shape leads to the films.

    Attributes
    ----------
    frames : BoardFrames
        From the job's places to the films.
    reach : ScreenReach or None
        Of a flat screen on the pressed board; None for a flat sheet.
    inserts : tuple of FittedInserts
        Front foot, then rear.
    keep_outs, important : tuple of NamedArea
        In the job's order.
    """

    frames: BoardFrames = field(default_factory=BoardFrames)
    reach: ScreenReach | None = None
    inserts: tuple[FittedInserts, ...] = ()
    keep_outs: tuple[NamedArea, ...] = ()
    important: tuple[NamedArea, ...] = ()

    @property
    def kept_off(self) -> tuple[Area, ...]:
        """Every place that takes no ink."""
        return (*(pack.clear for pack in self.inserts if pack.ink_off),
                *(place.area for place in self.keep_outs if place.ink_off))


@dataclass(frozen=True, slots=True, kw_only=True)
class LineKeptOff:
    """One sheet of line work, measured where it takes no ink or is drilled.

    Attributes
    ----------
    file : str
        The artwork.
    mm2_lost : float
        Inked area of the drawing inside holes and keep-outs (mm²).
    bounds_mm : tuple of float or None
        Of the place where most of it lies.
    """

    file: str
    mm2_lost: float
    bounds_mm: tuple[float, float, float, float] | None = None
