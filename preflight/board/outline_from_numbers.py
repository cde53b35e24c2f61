"""A board's outline drawn from a few numbers: length, widths, contact length, end shapes.

One side of the board is five pieces, joined with the same tangent and the same curvature:
the nose (a cubic Bézier curve from the tip to the widest station), a blend, the sidecut (a
circular arc), a blend, and the tail. In a blend the second derivative of y runs straight from
the arc's to the nose's. Arc radius, waist station and blend lengths are solved for, so that the
waist and both widest stations have exactly the widths that were asked for.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, NamedTuple, get_args

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from preflight.board.board_outline import (
    LONGEST_BOARD_MM,
    SHORTEST_BOARD_MM,
    BoardOutline,
    half_mirrored,
)
from preflight.input_problem import InputProblem

EndShape = Literal["pointed", "round", "blunt"]
#: How far the handles of an end's Bézier curve reach (0 to 1); a quarter ellipse is 0.5523.
FULLNESS: dict[EndShape, float] = {
    "pointed": 0.42, "round": 4.0 / 3.0 * (math.sqrt(2.0) - 1.0), "blunt": 0.70}
CHORD_ERROR_MM = 0.001
SHORTEST_END_MM = 20.0
NARROWEST_MM = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardNumbers:
    """A board in a few numbers, all in mm.

    Attributes
    ----------
    length_mm : float
        Tip to tail, 200 to 3000 mm, in the flat.
    nose_width_mm, waist_width_mm : float
        Widest station of the nose half; narrowest station between the widest ones.
    contact_length_mm : float
        Distance between the two widest stations.
    tail_width_mm, taper_mm : float or None
        Widest station of the tail half, or how much narrower it is than the nose: one of the two.
    setback_mm : float
        How far the middle of the contact length lies behind mid-length, towards the tail.
    nose_shape, tail_shape : EndShape
        Roundness of the ends.
    """

    length_mm: float
    nose_width_mm: float
    waist_width_mm: float
    contact_length_mm: float
    tail_width_mm: float | None = None
    taper_mm: float | None = None
    setback_mm: float = 0.0
    nose_shape: EndShape = "round"
    tail_shape: EndShape = "round"


class _Side(NamedTuple):
    """One end's share of the sidecut: from the waist to the widest station (all mm, 1/mm)."""

    arc_mm: float
    blend_mm: float


def outline_from_numbers(numbers: BoardNumbers, where: str = "board") -> BoardOutline:
    """Draw the outline.

    Parameters
    ----------
    numbers : BoardNumbers
        The board.
    where : str
        What an `InputProblem` names before the key, e.g. ``"job.toml: board"``.

    Returns
    -------
    BoardOutline
        Symmetric about the centre line, tip and tail at x = ± length / 2, chord error below
        0.002 mm; sidecut radius and waist station are set.

    Raises
    ------
    InputProblem
        When the numbers describe no board; it names the key, without ``_mm``.
    """
    tail_width_mm = _sound_tail_width(numbers, where)
    nose_x = numbers.contact_length_mm / 2 - numbers.setback_mm
    tail_x = nose_x - numbers.contact_length_mm
    half_waist = numbers.waist_width_mm / 2
    nose_end = (numbers.length_mm / 2 - nose_x, numbers.nose_width_mm / 2, numbers.nose_shape)
    tail_end = (numbers.length_mm / 2 + tail_x, tail_width_mm / 2, numbers.tail_shape)
    solved = _sidecut(nose_end[1] - half_waist, tail_end[1] - half_waist,
                      _end_curvature(*nose_end), _end_curvature(*tail_end),
                      numbers.contact_length_mm)
    if solved is None:
        raise InputProblem(
            where=f"{where}.waist_width", found=_shown(numbers.waist_width_mm),
            would_do="a wider waist, a longer contact_length or a rounder end (this sidecut is "
            "too deep to run smoothly into the nose and tail)")
    bend, nose_side, tail_side = solved
    waist_x = nose_x - nose_side.arc_mm - nose_side.blend_mm
    arc_x = _steps(waist_x - tail_side.arc_mm, waist_x, bend)[:-1].tolist() + _steps(
        waist_x, waist_x + nose_side.arc_mm, bend).tolist()
    side = np.column_stack([arc_x, half_waist + _arc_rise(np.array(arc_x) - waist_x, bend)])
    pieces = [
        _end_curve(*nose_end) + np.array([nose_x, 0.0]),
        _blend(nose_x, -1.0, nose_side, bend, _end_curvature(*nose_end), nose_end[1]),
        side[::-1],
        _blend(tail_x, 1.0, tail_side, bend, _end_curvature(*tail_end), tail_end[1])[::-1],
        (_end_curve(*tail_end) * np.array([-1.0, 1.0]) + np.array([tail_x, 0.0]))[::-1],
    ]
    half = np.concatenate(pieces)
    apart = np.concatenate([[True], np.linalg.norm(np.diff(half, axis=0), axis=1) > 1e-7])
    return BoardOutline(ring_mm=half_mirrored(half[apart]),
                        sidecut_radius_mm=1.0 / bend if bend > 0.0 else math.inf,
                        waist_x_mm=waist_x)


def _sound_tail_width(numbers: BoardNumbers, where: str) -> float:
    """The tail's widest width in mm; raises `InputProblem` for whatever describes no board."""
    given = {"length": numbers.length_mm, "nose_width": numbers.nose_width_mm,
             "waist_width": numbers.waist_width_mm, "contact_length": numbers.contact_length_mm,
             "tail_width": numbers.tail_width_mm, "taper": numbers.taper_mm,
             "setback": numbers.setback_mm}

    def need(sound: bool, key: str, would_do: str) -> None:
        if not sound:
            raise InputProblem(where=f"{where}.{key}", found=_shown(given[key]),
                               would_do=would_do)

    for key, value in given.items():
        need(value is None or math.isfinite(value), key, "a finite length")
    need(SHORTEST_BOARD_MM <= numbers.length_mm <= LONGEST_BOARD_MM, "length",
         f"{SHORTEST_BOARD_MM:g} to {LONGEST_BOARD_MM:g} mm")
    for key, shape in (("nose_shape", numbers.nose_shape), ("tail_shape", numbers.tail_shape)):
        if shape not in FULLNESS:
            raise InputProblem(where=f"{where}.{key}", found=repr(shape),
                               would_do="one of " + ", ".join(get_args(EndShape)))
    if (numbers.tail_width_mm is None) == (numbers.taper_mm is None):
        found = "neither tail_width nor taper" if numbers.taper_mm is None else "both"
        raise InputProblem(where=f"{where}.tail_width", found=found,
                           would_do="either tail_width or taper")
    tail_key = "taper" if numbers.tail_width_mm is None else "tail_width"
    tail_mm = (numbers.nose_width_mm - numbers.taper_mm if numbers.taper_mm is not None
               else numbers.tail_width_mm or 0.0)
    need(numbers.waist_width_mm >= NARROWEST_MM, "waist_width", f"at least {NARROWEST_MM:g} mm")
    need(numbers.nose_width_mm <= numbers.length_mm, "nose_width", "less than the length")
    need(tail_mm <= numbers.length_mm, tail_key, "a tail narrower than the board is long")
    need(numbers.waist_width_mm <= numbers.nose_width_mm, "waist_width",
         f"at most the nose_width, {_shown(numbers.nose_width_mm)},")
    need(numbers.waist_width_mm <= tail_mm, tail_key if tail_key == "taper" else "waist_width",
         f"a tail ({_shown(tail_mm)}) at least as wide as the waist "
         f"({_shown(numbers.waist_width_mm)})")
    room = numbers.length_mm - numbers.contact_length_mm
    need(numbers.contact_length_mm >= numbers.waist_width_mm / 2, "contact_length",
         "at least half the waist_width")
    need(room >= 2 * SHORTEST_END_MM, "contact_length",
         f"at least {2 * SHORTEST_END_MM:g} mm less than the length")
    need(room / 2 - abs(numbers.setback_mm) >= SHORTEST_END_MM, "setback",
         f"one that leaves {SHORTEST_END_MM:g} mm for each end")
    return tail_mm


def _sidecut(nose_rise: float, tail_rise: float, nose_curvature: float, tail_curvature: float,
             contact_mm: float) -> tuple[float, _Side, _Side] | None:
    """Curvature of the arc (1/mm) and both sides of it, or None where there is no solution."""
    if nose_rise == 0.0 and tail_rise == 0.0:
        return 0.0, _Side(contact_mm / 2, 0.0), _Side(contact_mm / 2, 0.0)

    def sides(bend: float) -> tuple[_Side, _Side] | None:
        nose = _side_for_rise(nose_rise, bend, nose_curvature)
        tail = _side_for_rise(tail_rise, bend, tail_curvature)
        return None if nose is None or tail is None else (nose, tail)

    def excess(bend: float) -> float:
        pair = sides(bend)
        return -contact_mm if pair is None else sum(map(sum, pair)) - contact_mm

    plain = (math.sqrt(2 * nose_rise) + math.sqrt(2 * tail_rise)) ** 2 / contact_mm**2
    low, high = plain, plain
    while excess(low) < 0.0 and low > plain / 1e6:
        low /= 1.5
    while excess(high) > 0.0 and high < plain * 1e6:
        high *= 1.5
    if excess(low) < 0.0 or excess(high) > 0.0:
        return None
    bend = float(brentq(excess, low, high, xtol=1e-18, rtol=1e-14))
    pair = sides(bend)
    if pair is None or abs(excess(bend)) > 1e-6:
        return None
    return bend, *pair


def _side_for_rise(rise: float, bend: float, end_curvature: float) -> _Side | None:
    """How long arc and blend are when together they rise by ``rise`` mm to slope 0."""
    if rise == 0.0:
        return _Side(0.0, 0.0)

    def side(arc_mm: float) -> tuple[float, float]:
        slope, second = _arc_end(arc_mm, bend)
        if second >= end_curvature:
            return math.nan, math.inf
        blend = 2.0 * slope / (end_curvature - second)
        climb = slope * blend + second * blend**2 / 2 - (end_curvature + second) * blend**2 / 6
        return blend, float(_arc_rise(np.array(arc_mm), bend)) + climb

    longest = min(math.sqrt(2.0 * rise / bend) * 1.0000001, 0.9 / bend)
    if side(longest)[1] < rise or side(0.0)[1] > rise:
        return None
    arc = float(brentq(lambda arc_mm: min(side(arc_mm)[1], 1e9) - rise, 0.0, longest,
                       xtol=1e-12, rtol=1e-14))
    blend, reached = side(arc)
    return None if not abs(reached - rise) < 1e-6 else _Side(arc, blend)


def _arc_rise(from_waist_mm: NDArray[np.float64], bend: float) -> NDArray[np.float64]:
    """Height (mm) of the arc of curvature ``bend`` above its lowest point."""
    square = from_waist_mm**2
    rise: NDArray[np.float64] = bend * square / (1.0 + np.sqrt(1.0 - bend**2 * square))
    return rise


def _arc_end(arc_mm: float, bend: float) -> tuple[float, float]:
    """Slope and second derivative (1/mm) of the arc, ``arc_mm`` from its lowest point."""
    slope = bend * arc_mm / math.sqrt(1.0 - (bend * arc_mm) ** 2)
    return slope, bend * (1.0 + slope**2) ** 1.5


def _blend(widest_x: float, inward: float, side: _Side, bend: float, end_curvature: float,
           half_width: float) -> NDArray[np.float64]:
    """Points (n, 2) of a blend from the widest station (slope 0) towards the waist."""
    if side.blend_mm == 0.0:
        return np.empty((0, 2))
    second = _arc_end(side.arc_mm, bend)[1]
    away = _steps(0.0, side.blend_mm, max(end_curvature, bend))
    fall = -end_curvature * away**2 / 2 + (second + end_curvature) / side.blend_mm * away**3 / 6
    return np.column_stack([widest_x + inward * away, half_width + fall])


def _end_curvature(end_mm: float, half_width_mm: float, shape: EndShape) -> float:
    """Curvature (1/mm, positive inwards) of an end's curve at the widest station."""
    full = FULLNESS[shape]
    return 2.0 / 3.0 * half_width_mm * (1.0 - full) / (full * end_mm) ** 2


def _end_curve(end_mm: float, half_width_mm: float, shape: EndShape) -> NDArray[np.float64]:
    """Points (n, 2) from the tip to the widest station, x measured from the latter."""
    full = FULLNESS[shape]
    handles = np.array([[end_mm, 0.0], [end_mm, full * half_width_mm],
                        [full * end_mm, half_width_mm], [0.0, half_width_mm]])
    sharpest = 6.0 * np.linalg.norm(np.diff(handles, n=2, axis=0), axis=1).max()
    count = math.ceil(math.sqrt(sharpest / 8.0 / CHORD_ERROR_MM)) + 1
    t = np.linspace(0.0, 1.0, count)[:, None]
    return np.asarray((1 - t)**3 * handles[0] + 3 * t * (1 - t)**2 * handles[1]
                      + 3 * t**2 * (1 - t) * handles[2] + t**3 * handles[3])


def _steps(start: float, end: float, curvature: float) -> NDArray[np.float64]:
    """Stations from start to end, close enough for the curvature (1/mm)."""
    step = math.sqrt(8.0 * CHORD_ERROR_MM / max(curvature, 1e-6))
    return np.linspace(start, end, max(2, math.ceil(abs(end - start) / step) + 1))


def _shown(value: float | None) -> str:
    return "nothing" if value is None else f"{value:g} mm"
