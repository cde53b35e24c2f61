"""What is fixed to a board or must be seen on it, laid down in the films' board frame."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from shapely import union_all
from shapely.geometry import Point, Polygon

from preflight.board.area_mask import Area
from preflight.board.developed_outline import BoardFrames
from preflight.board.screen_reach import ScreenReach
from preflight.board.topsheet_area import TopsheetArea
from preflight.input_problem import InputProblem

#: Steps of a quarter circle: a disc of 100 mm is true to 0.002 mm.
_QUARTER_STEPS = 128


def disc(centre_mm: NDArray[np.float64], diameter_mm: float) -> Polygon:
    """A disc round a centre (x, y), shape (2,), both in mm."""
    return Point(*centre_mm).buffer(diameter_mm / 2, quad_segs=_QUARTER_STEPS)


def without_ink(area: TopsheetArea, kept_off: Iterable[Area], *, where: str) -> TopsheetArea:
    """The area with holes where no ink may lie; the same area where there are none.

    Parameters
    ----------
    area : TopsheetArea
        Of the board.
    kept_off : iterable of areas
        In board mm; they may overlap and reach over the edge.
    where : str
        What a fault names.

    Raises
    ------
    InputProblem
        When nothing is left to print on.
    """
    off = union_all(list(kept_off))
    if off.is_empty or not off.intersects(area.printed):
        return area
    printed = area.printed.difference(off)
    safe = area.safe.difference(off)
    if printed.area < 1.0 or safe.is_empty:
        raise InputProblem(where=where, found="keep-outs that leave nothing to print on",
                           would_do="smaller ones, or ink = \"over\"")
    return replace(area, printed=printed, safe=safe, uncut=area.printed)


InsertPattern = Literal["4x2", "4x4"]
#: Between the two rows; and from hole to hole along a row (mm).
#: Source: coolwintergear.com and mlstepsnow.com FAQ 219 (insert patterns), the-house.com 2023.
ROWS_APART_MM = 40.0
ALONG_MM: dict[InsertPattern, float] = {"4x2": 20.0, "4x4": 40.0}
#: Holes in a row for one foot, from the same sources ("about").
HOLES_IN_ROW: dict[InsertPattern, int] = {"4x2": 6, "4x4": 3}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InsertPack:
    """One foot's inserts.

    Attributes
    ----------
    foot : str
        ``front`` (towards the nose) or ``rear``.
    centre_mm : NDArray of float64, shape (2,)
        Its middle (x, y).
    holes_mm : NDArray of float64, shape (N, 2)
        Centres of its holes: the row at +y from tail to nose, then the row at -y.
    """

    foot: Literal["front", "rear"]
    centre_mm: NDArray[np.float64]
    holes_mm: NDArray[np.float64]


def insert_packs(pattern: InsertPattern, *, stance_mm: float, set_back_mm: float,
                 holes_in_row: int | None = None) -> tuple[InsertPack, InsertPack]:
    """Both feet's inserts on the centre line.

    Parameters
    ----------
    pattern : InsertPattern
        Two rows of holes 40 mm apart; along a row 40 mm (``4x4``) or 20 mm (``4x2``).
    stance_mm : float
        Between the packs' middles (mm).
    set_back_mm : float
        From mid-length to the middle of the stance, towards the tail (mm).
    holes_in_row : int, optional
        In each row of one foot, at least 2.
    """
    count = holes_in_row or HOLES_IN_ROW[pattern]
    along = (np.arange(count) - (count - 1) / 2) * ALONG_MM[pattern]
    across = np.repeat([ROWS_APART_MM / 2, -ROWS_APART_MM / 2], count)
    offsets = np.column_stack([np.tile(along, 2), across])
    front, rear = (np.array([side * stance_mm / 2 - set_back_mm, 0.0]) for side in (1, -1))
    return (InsertPack(foot="front", centre_mm=front, holes_mm=front + offsets),
            InsertPack(foot="rear", centre_mm=rear, holes_mm=rear + offsets))


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
