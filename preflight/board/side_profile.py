"""A pressed board seen from its side: height along its length, and length along its curve."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline, PPoly

from preflight.board.board_outline import LONGEST_BOARD_MM, SHORTEST_BOARD_MM
from preflight.input_problem import InputProblem
from preflight.nouns import counted

FEWEST_POINTS = 8
#: Own rule, no source: no board that a topsheet is pressed on stands steeper.
STEEPEST_DEG = 60.0
#: A table may lie this far off mid-length (mm) before it is moved and a remark made.
OFF_CENTRE_MM = 0.005
#: Points so sparse that a smooth curve through them and straight lines differ in length by more
#: than this share tell no length. Own rule, no source.
_GREATEST_DOUBT = 0.01
#: Pieces over which the arc is summed (mm), each with eight Gauss-Legendre points.
_PIECE_MM = 10.0
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)
_STEPS_BACK = 60


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SideProfile:
    """Height z (mm) of the printed face over x (mm, plan view, 0 at mid-length).

    Attributes
    ----------
    curve : PPoly
        z over x, with a continuous slope.
    knots_mm, arc_mm : NDArray of float64, shape (K,)
        Stations, and the arc length there: 0 at x = 0.
    remarks : tuple of str
        What was done to the user's points on reading, one plain sentence each.
    """

    curve: PPoly
    knots_mm: NDArray[np.float64]
    arc_mm: NDArray[np.float64]
    remarks: tuple[str, ...] = ()

    @property
    def ends_mm(self) -> tuple[float, float]:
        """Least and greatest x (mm)."""
        return float(self.knots_mm[0]), float(self.knots_mm[-1])

    @property
    def developed_mm(self) -> float:
        """Length along the whole curve (mm)."""
        return float(self.arc_mm[-1] - self.arc_mm[0])

    def height_mm(self, x_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """z (mm) at each x, shape (N,); straight beyond the ends."""
        inside = np.clip(x_mm, *self.ends_mm)
        return np.asarray(self.curve(inside) + (x_mm - inside) * self.slope(inside))

    def slope(self, x_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """dz/dx at each x, shape (N,); beyond the ends that of the end."""
        return np.asarray(self.curve(np.clip(x_mm, *self.ends_mm), 1))

    def arc_length_mm(self, x_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Length (mm) along the curve from mid-length to each x, shape (N,); negative to the tail.

        Notes
        -----
        s(x) = ∫ √(1 + z'²) dx. Source: calculus.
        """
        inside = np.clip(x_mm, *self.ends_mm)
        piece = np.clip(np.searchsorted(self.knots_mm, inside, side="right") - 1, 0,
                        len(self.knots_mm) - 2)
        start = self.knots_mm[piece]
        beyond = (x_mm - inside) * np.hypot(1.0, self.slope(inside))
        return np.asarray(self.arc_mm[piece] + _arcs(self.curve, start, inside) + beyond)

    def station_at(self, arc_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """The x (mm) at each arc length, shape (N,): the inverse of `arc_length_mm`.

        Notes
        -----
        Newton's steps kept inside the piece that holds the answer, since ds/dx is at least one.
        """
        inside = np.clip(arc_mm, self.arc_mm[0], self.arc_mm[-1])
        piece = np.clip(np.searchsorted(self.arc_mm, inside, side="right") - 1, 0,
                        len(self.arc_mm) - 2)
        low, high = self.knots_mm[piece].copy(), self.knots_mm[piece + 1].copy()
        x_mm = np.interp(inside, self.arc_mm, self.knots_mm)
        for _ in range(_STEPS_BACK):
            over = self.arc_length_mm(x_mm) - inside
            if np.abs(over).max(initial=0.0) < 1e-10:
                break
            high, low = np.where(over > 0, x_mm, high), np.where(over < 0, x_mm, low)
            step = x_mm - over / np.hypot(1.0, self.slope(x_mm))
            x_mm = np.where((step >= low) & (step <= high), step, (low + high) / 2)
        return np.asarray(x_mm + (arc_mm - inside) / np.hypot(1.0, self.slope(x_mm)))


@dataclass(frozen=True, slots=True, kw_only=True)
class ProfileFigures:
    """A side profile in a few figures, all in mm, lengths as seen from above.

    Attributes
    ----------
    length_mm : float
        Tip to tail in plan view.
    camber_mm : float
        Height at mid-length of the span between the contact points; negative below them.
    nose_rise_mm, tail_rise_mm : float
        Height of each end over the contact points.
    nose_length_mm, tail_length_mm : float
        From each end to its contact point.
    """

    length_mm: float
    camber_mm: float
    nose_rise_mm: float
    nose_length_mm: float
    tail_rise_mm: float
    tail_length_mm: float


def profile_from_figures(figures: ProfileFigures, *, where: str) -> SideProfile:
    """Draw a profile: parabolas to the ends, and between the contact points a camber.

    Raises
    ------
    InputProblem
        When the ends leave no span between the contact points, or the profile is too steep.

    Notes
    -----
    With u from -1 to 1 between the contact points, z = camber (1 - u²)²; with v from 0 to 1 from
    contact point to tip, z = rise v². Slopes meet level at the contact points. Own choice of
    curves, no source.
    """
    half = figures.length_mm / 2
    tail, nose = -half + figures.tail_length_mm, half - figures.nose_length_mm
    if nose - tail < SHORTEST_BOARD_MM / 4:
        raise InputProblem(
            where=where, found=f"{nose - tail:.0f} mm between the ends of a board "
            f"{figures.length_mm:.0f} mm long", would_do="a shorter nose_length or tail_length")
    middle = (nose - tail) / 2
    # (1 - u²)² = 4 t² - 4 t³ + t⁴ with t = 1 + u
    camber = [figures.camber_mm * c / middle**k for c, k in ((1.0, 4), (-4.0, 3), (4.0, 2))]
    fall = figures.tail_rise_mm / figures.tail_length_mm**2
    rise = figures.nose_rise_mm / figures.nose_length_mm**2
    pieces = np.array([
        [0.0, 0.0, fall, -2 * fall * figures.tail_length_mm, figures.tail_rise_mm],
        [*camber, 0.0, 0.0], [0.0, 0.0, rise, 0.0, 0.0]]).T
    return _measured(PPoly(pieces, np.array([-half, tail, nose, half])), where=where)


def profile_from_points(
    points_mm: NDArray[np.float64], *, where: str, names: tuple[str, ...] | None = None
) -> SideProfile:
    """Lay a smooth curve through points from one end of the board to the other.

    Parameters
    ----------
    points_mm : NDArray of float64, shape (N, 2)
        x and z (mm), x rising or falling all the way. The middle of the x becomes mid-length.
    where : str
        What a fault names.
    names : tuple of str, optional
        What each point is called in a fault, such as its line.

    Raises
    ------
    InputProblem
        When points are too few, not finite, not in order along x, too steep, or too sparse to tell
        a length.
    """
    if len(points_mm) < FEWEST_POINTS:
        raise InputProblem(where=where, would_do=f"at least {FEWEST_POINTS} points",
                           found=f"{counted(len(points_mm), 'point')} of a side profile")
    if not np.isfinite(points_mm).all():
        raise InputProblem(where=where, found="a point that is not a number",
                           would_do="an x and a z in figures for each point")
    told = names or tuple(f"point {n}" for n in range(1, len(points_mm) + 1))
    if points_mm[-1, 0] < points_mm[0, 0]:
        points_mm, told = points_mm[::-1], told[::-1]
    x_mm, z_mm = points_mm.T
    back = np.flatnonzero(np.diff(x_mm) <= 0.0)
    if len(back):
        raise InputProblem(
            where=f"{where}, {told[back[0] + 1]}", found="an x that repeats or turns back",
            would_do="points in order from tail to nose, one z for each x,")
    _need_scale(float(np.ptp(x_mm)), where)
    steep = np.rad2deg(np.arctan(np.abs(np.diff(z_mm) / np.diff(x_mm))))
    if steep.max() > STEEPEST_DEG:
        raise _too_steep(float(steep.max()), f"{where}, {told[int(np.argmax(steep)) + 1]}")
    middle = float(x_mm[0] + x_mm[-1]) / 2
    remarks = []
    if abs(middle) > OFF_CENTRE_MM:
        remarks.append(f"The side profile was moved by {-middle:g} mm along, so that its middle "
                       "is mid-length.")
        x_mm = x_mm - middle
    profile = _measured(CubicSpline(x_mm, z_mm), where=where)
    straight = float(np.hypot(np.diff(x_mm), np.diff(z_mm)).sum())
    doubt = abs(profile.developed_mm - straight)
    if doubt > _GREATEST_DOUBT * straight:
        raise InputProblem(
            where=where, found=f"points so far apart that the curve through them is {doubt:.0f} mm "
            "longer than the straight lines", would_do="more points where the board bends")
    return SideProfile(curve=profile.curve, knots_mm=profile.knots_mm, arc_mm=profile.arc_mm,
                       remarks=tuple(remarks))


def _measured(curve: PPoly, *, where: str) -> SideProfile:
    ends = float(curve.x[0]), float(curve.x[-1])
    count = max(2, math.ceil((ends[1] - ends[0]) / _PIECE_MM) + 1)
    knots = np.unique(np.concatenate([curve.x, np.linspace(*ends, count)]))
    slopes = np.abs(curve(np.linspace(*ends, 20 * count), 1))
    steepest = math.degrees(math.atan(float(slopes.max())))
    if steepest > STEEPEST_DEG + 1e-6:
        raise _too_steep(steepest, where)
    arc = np.concatenate([[0.0], np.cumsum(_arcs(curve, knots[:-1], knots[1:]))])
    profile = SideProfile(curve=curve, knots_mm=knots, arc_mm=arc)
    return SideProfile(curve=curve, knots_mm=knots,
                       arc_mm=arc - profile.arc_length_mm(np.zeros(1)))


def _arcs(curve: PPoly, start: NDArray[np.float64], end: NDArray[np.float64]
          ) -> NDArray[np.float64]:
    """Length of the curve between each start and end within one piece, shape (N,)."""
    half = (end - start) / 2
    at = (start + half)[:, None] + half[:, None] * _NODES
    return np.asarray((np.hypot(1.0, curve(at, 1)) @ _WEIGHTS) * half)


def _too_steep(deg: float, where: str) -> InputProblem:
    return InputProblem(where=where, found=f"a side profile that slopes at {deg:.0f}°",
                        would_do=f"slopes of at most {STEEPEST_DEG:.0f}°")


def _need_scale(length_mm: float, where: str) -> None:
    if not SHORTEST_BOARD_MM <= length_mm <= LONGEST_BOARD_MM:
        raise InputProblem(
            where=where, found=f"a side profile {length_mm:g} mm long",
            would_do=f"{SHORTEST_BOARD_MM:g} to {LONGEST_BOARD_MM:g} mm (points_unit declares "
            "another unit)")
