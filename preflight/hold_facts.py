"""What was measured of the films' own dots and lines against the mesh, and what it may lose."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from preflight.findings import Place

PartKind = Literal["line", "gap"]


def share_lost(width_um: float, thread_um: float, held_um: float) -> float:
    """The share (0 to 1) of a part that is expected not to print as drawn.

    Parameters
    ----------
    width_um : float
        Width of a line or gap, or diameter of a dot or hole (µm).
    thread_um, held_um : float
        The mesh's thread, and the least width that it holds (µm).

    Notes
    -----
    All of it where one thread can hide it, none from ``held_um`` on, in proportion between.
    Own rule, no source: a figure to compare by, before any measured tone curve.
    """
    if held_um <= thread_um:
        return float(width_um < held_um)
    return min(1.0, max(0.0, (held_um - width_um) / (held_um - thread_um)))


@dataclass(frozen=True, slots=True, kw_only=True)
class DotsHeld:
    """The dots of one ink's film, or the holes between them, in the windows looked at.

    Attributes
    ----------
    seen, lost : int
        Whole dots (holes) measured, and those smaller than the mesh holds.
    least_um : float or None
        Diameter of the smallest, as the disc of equal area (µm); None where none was seen.
    tone_lost : float
        Share (0 to 1) of the printed area whose ink (bare ground) is expected to be lost.
    worst_tone_lost : float
        The same in the worst window.
    place : Place or None
        That window.
    """

    seen: int
    lost: int
    least_um: float | None
    tone_lost: float
    worst_tone_lost: float
    place: Place | None


@dataclass(frozen=True, slots=True, kw_only=True)
class InkHold:
    """One ink's halftone on its film.

    Attributes
    ----------
    ink : str
        Its name.
    held_um : float
        What its mesh holds (µm).
    windows : int
        How many windows of its film were looked at.
    dots, holes : DotsHeld
        Dots that fall, and holes that fill.
    """

    ink: str
    held_um: float
    windows: int
    dots: DotsHeld
    holes: DotsHeld


@dataclass(frozen=True, slots=True, kw_only=True)
class LineHold:
    """The lines of one sheet of line work on its film, or the gaps between them.

    Attributes
    ----------
    file, ink : str
        The drawing, and the ink that prints it.
    kind : PartKind
        Lines, or gaps between them.
    held_um : float
        What the ink's mesh holds (µm).
    narrowest_um : float or None
        The narrowest found on the film (µm); None where none is under ``held_um``.
    thin_mm : float
        Length of all that is under it, in the windows looked at (mm); 0 where nothing is.
    mm2_lost : float
        How much of it is expected to be lost (mm²).
    place : Place or None
        Where the narrowest lies.
    unseen : int
        Suspect places beyond those measured: the length is then a least one.
    """

    file: str
    ink: str
    kind: PartKind
    held_um: float
    narrowest_um: float | None
    thin_mm: float
    mm2_lost: float
    place: Place | None
    unseen: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FaintLines:
    """Strokes and gaps of a drawing too pale or too fine for the film to show at all.

    Attributes
    ----------
    file : str
        The drawing.
    mm : float
        About how long they are, together (mm).
    place : Place or None
        Where most of them lie.
    """

    file: str
    mm: float
    place: Place | None


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldFacts:
    """All inks' dots and holes, and all drawings' lines and gaps."""

    inks: tuple[InkHold, ...]
    lines: tuple[LineHold, ...]
    faint: tuple[FaintLines, ...]
