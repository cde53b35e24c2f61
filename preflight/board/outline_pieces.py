"""What a drawing is read into: pieces of line in mm, and how much of it is allowed."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from preflight.input_problem import InputProblem
from preflight.units import MM_PER_INCH, POINTS_PER_INCH

#: Units that a job may name for its drawing, in mm. ``px`` is the CSS pixel of 1/96 inch
#: (Source: CSS Values and Units Module Level 3, 5.2) and ``pt`` 1/72 inch.
MM_PER_UNIT = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH,
               "px": MM_PER_INCH / 96.0, "pt": MM_PER_INCH / POINTS_PER_INCH}
#: Curves become chords that lie nearer to them than this (mm): half of what outlines promise.
CHORD_ERROR_MM = 0.0025
#: And nearer than this share of the curve's own extent, so that a drawing in the wrong unit keeps
#: its shape until that is found.
_CHORD_SHARE = 2e-4
MOST_ENTITIES = 20_000
MOST_POINTS = 1_000_000
#: Groups within groups, blocks within blocks: deeper than any drawing made by hand. Own rule.
DEEPEST_NESTING = 24

Points = NDArray[np.float64]


class Piece(NamedTuple):
    """A run of line.

    Attributes
    ----------
    points : NDArray of float64, shape (N, 2)
        In mm, y up, as the drawing is seen; a closed piece may or may not repeat its first point.
    closed : bool
        Whether the drawing says that the piece closes on itself.
    layers : tuple of str
        The names that it can be asked for by: its layer, or its groups' names.
    rise_mm : float
        Extent in z (mm).
    """

    points: Points
    closed: bool
    layers: tuple[str, ...]
    rise_mm: float = 0.0


class Drawing(NamedTuple):
    """A drawing's pieces.

    Attributes
    ----------
    pieces : tuple of Piece
        All lines and curves that could be an outline.
    mm_per_unit : float
        What one unit of the drawing was taken for (mm).
    unit_told : str or None
        How the unit is known, such as ``its header says inches``; None where nothing tells.
    units : tuple of str
        Units of `MM_PER_UNIT` that a drawing of this kind may be in.
    remarks : tuple of str
        What was done on reading.
    """

    pieces: tuple[Piece, ...]
    mm_per_unit: float
    unit_told: str | None
    units: tuple[str, ...]
    remarks: tuple[str, ...] = ()


@dataclass(slots=True, kw_only=True)
class Allowance:
    """How many entities and points a drawing may still take; bounds the work of reading it."""

    where: str
    entities: int = field(default=MOST_ENTITIES)
    points: int = field(default=MOST_POINTS)

    def take_entities(self, count: int) -> None:
        """Count entities; raises `InputProblem` when there are too many."""
        self.entities -= count
        if self.entities < 0:
            raise InputProblem(where=self.where, found=f"more than {MOST_ENTITIES:,} entities",
                               would_do="a drawing of the board's outline alone")

    def take_points(self, count: int) -> None:
        """Count points; raises `InputProblem` when there are too many."""
        self.points -= count
        if self.points < 0:
            raise InputProblem(
                where=self.where, found=f"curves of more than {MOST_POINTS:,} points",
                would_do="a drawing of the board's outline alone, in its right units,")


def flattened(curve: Callable[[Points], Points], breaks: Iterable[float], chord_error: float,
              allowance: Allowance) -> Points:
    """Points of a curve whose chords stray from it by less than ``chord_error``.

    Parameters
    ----------
    curve : callable
        Parameters (N,) to points (N, 2 or 3).
    breaks : iterable of float
        Parameters between which the curve is smooth, its ends among them, rising or falling.
    chord_error : float
        In the units of the curve, above 0.
    allowance : Allowance
        Pays for each point.

    Returns
    -------
    NDArray of float64, shape (M, 2 or 3)
        With both ends.

    Notes
    -----
    Each smooth span is cut into equal steps of the parameter, and they into smaller ones until
    the points at a quarter, a half and three quarters of each lie near enough to its chord.
    """
    parts: list[Points] = []
    for start, end in pairwise(breaks):
        steps = 2
        while True:
            allowance.take_points(4 * steps)
            fine = curve(np.linspace(start, end, 4 * steps + 1))
            strays = _greatest_stray(fine)
            if strays <= min(chord_error, _CHORD_SHARE * float(np.ptp(fine, axis=0).max())):
                break
            steps *= max(2, min(64, math.ceil(math.sqrt(strays / chord_error))))
        kept = fine[::4]
        parts.append(kept[1:] if parts else kept)
    return np.concatenate(parts)


def _greatest_stray(fine: Points) -> float:
    """How far points between every fourth one lie from the chord of these."""
    start, end = fine[:-1:4, None, :], fine[4::4, None, :]
    inner = np.stack([fine[1::4], fine[2::4], fine[3::4]], axis=1)
    chord = end - start
    square = np.maximum((chord**2).sum(axis=2, keepdims=True), 1e-300)
    along = np.clip(((inner - start) * chord).sum(axis=2, keepdims=True) / square, 0.0, 1.0)
    strays = np.linalg.norm(inner - start - along * chord, axis=2)
    return float(strays.max()) if np.isfinite(strays).all() else 0.0


def arc_points(centre: tuple[float, float], radius: float, start_rad: float, sweep_rad: float,
               chord_error: float, allowance: Allowance) -> Points:
    """Points (N, 2) of a circle's arc, both ends included; a positive sweep runs anticlockwise.

    Notes
    -----
    A chord over the angle t strays by r (1 - cos t/2) = 2 r sin²(t/4) (Source: geometry).
    """
    chord_error = min(chord_error, _CHORD_SHARE * radius)
    step = 4.0 * np.arcsin(np.sqrt(chord_error / max(2.0 * radius, 1e-300)))
    count = max(2, int(np.ceil(abs(sweep_rad) / step)))
    allowance.take_points(count + 1)
    angle = start_rad + np.linspace(0.0, sweep_rad, count + 1)
    return np.column_stack([centre[0] + radius * np.cos(angle),
                            centre[1] + radius * np.sin(angle)])
