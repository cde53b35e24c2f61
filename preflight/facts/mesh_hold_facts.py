"""What was measured of the films' own dots and lines against the mesh, and what it may lose."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from preflight.findings import Place

PartKind = Literal["line", "gap"]
LetterPartKind = Literal["stroke", "counter", "gap"]


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
class LetterPart:
    """The smallest stroke, counter or gap of some lettering on its film.

    Attributes
    ----------
    kind : LetterPartKind
        What it is.
    letters : str
        The letter that it is of; the two that a gap lies between.
    um : float
        Its width (µm), within about one film pixel; 0 where the film itself closes it.
    held_um : float
        The least that the ink's mesh holds of its kind (µm).
    under : int
        How many parts of its kind are smaller than that by half a film pixel or more.
    place : Place
        Where it lies.
    """

    kind: LetterPartKind
    letters: str
    um: float
    held_um: float
    under: int
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class LetteringHold:
    """The lettering of one note or drawing on one film.

    Attributes
    ----------
    subject, kind, ink : str
        The note's words or the drawing's file; ``note``, ``drawing`` or ``flat``; the film's ink.
    reversed_out : bool
        Whether the letters are clear in what that film prints: strokes are gaps then.
    letters : int
        How many were measured.
    height_mm : float
        Height of the shortest letter or figure (mm).
    shortest : str
        That letter.
    parts : tuple of LetterPart
        The smallest of each kind that there is.
    thread_um : float
        The mesh's thread (µm).
    capital_mm : float
        A note's cap height (mm); 0 for drawings.
    holds_from : float or None
        How many times as large all of it holds, tried on film pixels; 1 where it holds as it is,
        None where nothing tried did.
    grown_by_trap : bool
        Whether the film prints the letters larger than drawn, so that they run into the photo.
    """

    subject: str
    kind: str
    ink: str
    reversed_out: bool
    letters: int
    height_mm: float
    shortest: str
    parts: tuple[LetterPart, ...]
    thread_um: float
    capital_mm: float
    holds_from: float | None
    grown_by_trap: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldFacts:
    """All inks' dots and holes, all drawings' lines and gaps, all lettering, and blank films."""

    inks: tuple[InkHold, ...]
    lines: tuple[LineHold, ...]
    faint: tuple[FaintLines, ...]
    lettering: tuple[LetteringHold, ...] = ()
    blank_films: tuple[str, ...] = ()
