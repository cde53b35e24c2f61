"""Beats between two gratings (halftone and halftone, halftone and mesh) by frequency vectors."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import product

#: Beats shorter than this melt into the dots, in mm; longer than a board, they cannot be seen.
#: Common practice, no source.
SHORTEST_SEEN_MM = 0.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Grating:
    """A periodic pattern with two directions at right angles.

    Attributes
    ----------
    lines_per_cm : float
        Frequency of the first harmonic.
    angle_deg : float
        Direction in degrees anticlockwise.
    directions : int
        2 for dots and cloth; 1 for line dots.
    """

    lines_per_cm: float
    angle_deg: float
    directions: int = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Beat:
    """One beat of two gratings.

    Attributes
    ----------
    period_mm : float
        Distance from crest to crest (mm).
    direction_deg : float
        Direction across the crests, degrees anticlockwise, 0 to 180.
    order : int
        Sum of the harmonic numbers that meet; the lower, the stronger.
    """

    period_mm: float
    direction_deg: float
    order: int


def strongest_beats(
    first: Grating, second: Grating, *, longest_mm: float, greatest_order: int = 4
) -> tuple[Beat, ...]:
    """Every visible beat of two gratings up to an order, strongest (lowest order) first.

    Parameters
    ----------
    first, second : Grating
        The two patterns.
    longest_mm : float
        Beats longer than this (the board) cannot be seen.
    greatest_order : int
        The largest sum of harmonic numbers looked at.

    Notes
    -----
    A beat lies at the difference of two harmonics, f = |m·f1 − n·f2|, its period 1/f. Source:
    frequency-vector analysis of superposed gratings, the textbook law; from memory.
    """
    beats: dict[tuple[int, int], Beat] = {}
    for one, one_order in _harmonics(first, greatest_order - 1):
        for other, other_order in _harmonics(second, greatest_order - one_order):
            fx, fy = one[0] - other[0], one[1] - other[1]
            frequency = math.hypot(fx, fy)
            if frequency * longest_mm < 1 or frequency * SHORTEST_SEEN_MM > 1:
                continue
            beat = Beat(period_mm=1 / frequency,
                        direction_deg=math.degrees(math.atan2(fy, fx)) % 180,
                        order=one_order + other_order)
            key = round(beat.period_mm * 1000), round(beat.direction_deg * 10)
            if key not in beats or beats[key].order > beat.order:
                beats[key] = beat
    return tuple(sorted(beats.values(), key=lambda b: (b.order, -b.period_mm)))


def _harmonics(grating: Grating, most: int) -> list[tuple[tuple[float, float], int]]:
    """Frequency vectors (per mm) of the grating's harmonics, with their order."""
    frequency = grating.lines_per_cm / 10
    angle = math.radians(grating.angle_deg)
    across = range(-most, most + 1) if grating.directions == 2 else (0,)
    found = []
    for m, n in product(range(-most, most + 1), across):
        order = abs(m) + abs(n)
        if 1 <= order <= most:
            found.append(((frequency * (m * math.cos(angle) - n * math.sin(angle)),
                           frequency * (m * math.sin(angle) + n * math.cos(angle))), order))
    return found


def gap_between_deg(first_deg: float, second_deg: float, repeat_deg: float = 90.0) -> float:
    """The smallest turn between two directions that repeat every ``repeat_deg`` degrees."""
    turn = abs(first_deg - second_deg) % repeat_deg
    return min(turn, repeat_deg - turn)
